/* Expressions of charts, made into functions once. The policy of the page forbids code made from
   text; the library's own way around it walks an expression's tree anew for every row and mark,
   which takes most of the time of a large drawing. Names reach the row, the mark, signals and listed
   functions, nothing else; what no chart here uses, such as dates and selections, is refused. */
function unknown(what) { throw new Error(`expressions of charts have not ${what}`); }
const BINARY = {
  "+": (l, r) => (s) => l(s) + r(s), "-": (l, r) => (s) => l(s) - r(s),
  "*": (l, r) => (s) => l(s) * r(s), "/": (l, r) => (s) => l(s) / r(s), "%": (l, r) => (s) => l(s) % r(s),
  "<": (l, r) => (s) => l(s) < r(s), "<=": (l, r) => (s) => l(s) <= r(s),
  ">": (l, r) => (s) => l(s) > r(s), ">=": (l, r) => (s) => l(s) >= r(s),
  "==": (l, r) => (s) => l(s) == r(s), "!=": (l, r) => (s) => l(s) != r(s),
  "===": (l, r) => (s) => l(s) === r(s), "!==": (l, r) => (s) => l(s) !== r(s),
};
const UNARY = { "-": (of) => (s) => -of(s), "+": (of) => (s) => +of(s), "!": (of) => (s) => !of(s) };
const OWN = {
  isNaN: Number.isNaN, isFinite: Number.isFinite, length: (of) => of.length,
  clamp: (value, low, high) => Math.max(low, Math.min(high, value)),
};
for (const name of ["abs", "ceil", "exp", "floor", "log", "max", "min", "pow", "round", "sqrt"]) OWN[name] = Math[name];
const CONSTANTS = { NaN, PI: Math.PI, E: Math.E };
const NODES = {
  Literal: ({ value }) => () => value,
  Identifier: ({ name }) => {
    if (name === "datum") return (s) => s.datum;
    if (name === "item") return (s) => s.item;
    if (name in CONSTANTS) return () => CONSTANTS[name];
    const key = "$" + name;
    return (s) => s.params[key];
  },
  MemberExpression: ({ object, property, computed }) => {
    const of = compiled(object);
    if (computed && property.type !== "Literal") {
      const key = compiled(property);
      return (s) => of(s)[key(s)];
    }
    const name = computed ? property.value : property.name;
    return (s) => of(s)[name];
  },
  CallExpression: ({ callee, arguments: given }) => {
    const name = callee.name.replace(/^_/, ""), own = OWN[name], of = given.map(compiled), [a, b] = of;
    if (name === "if") return NODES.ConditionalExpression({ test: given[0], consequent: given[1], alternate: given[2] });
    const calls = (s) => s.fn[name] || own || unknown(`the function ${name}`);
    if (of.length === 1) return (s) => calls(s).call(s.fn, a(s));
    if (of.length === 2) return (s) => calls(s).call(s.fn, a(s), b(s));
    return (s) => calls(s).apply(s.fn, of.map((one) => one(s)));
  },
  ArrayExpression: ({ elements }) => {
    const of = elements.map(compiled);
    return (s) => of.map((one) => one(s));
  },
  ObjectExpression: ({ properties }) => {
    const of = properties.map(({ key, value }) => [key.name ?? key.value, compiled(value)]);
    return (s) => Object.fromEntries(of.map(([name, one]) => [name, one(s)]));
  },
  BinaryExpression: ({ operator, left, right }) =>
    (BINARY[operator] || unknown(`the sign ${operator}`))(compiled(left), compiled(right)),
  UnaryExpression: ({ operator, argument }) => (UNARY[operator] || unknown(`the sign ${operator}`))(compiled(argument)),
  LogicalExpression: ({ operator, left, right }) => {
    const l = compiled(left), r = compiled(right);
    return operator === "&&" ? (s) => l(s) && r(s) : (s) => l(s) || r(s);
  },
  ConditionalExpression: ({ test, consequent, alternate }) => {
    const of = compiled(test), yes = compiled(consequent), no = compiled(alternate);
    return (s) => of(s) ? yes(s) : no(s);
  },
};
const compiledNodes = new WeakMap();
function compiled(node) {
  if (!compiledNodes.has(node)) compiledNodes.set(node, NODES[node.type](node));
  return compiledNodes.get(node);
}
/* Rectangles and groups given by two edges: the library turns them to an edge and a size. */
function settle(item, channels, swaps, [at, to, middle, size]) {
  if (channels[to]) {
    if (channels[at]) {
      if (swaps && item[at] > item[to]) [item[at], item[to]] = [item[to], item[at]];
      item[size] = item[to] - item[at];
    } else item[at] = item[to] - (item[size] || 0);
  }
  if (channels[middle]) item[at] = item[middle] - (item[size] || 0) / 2;
}
const expressions = {
  operator({ functions: fn }, { ast }) {
    const of = compiled(ast);
    return (params) => of({ fn, params });
  },
  parameter({ functions: fn }, { ast }) {
    const of = compiled(ast);
    return (datum, params) => of({ fn, params, datum });
  },
  event: () => unknown("events, for selections"),
  handler: () => unknown("events, for selections"),
  encode({ functions: fn }, { marktype, channels }) {
    const of = Object.entries(channels).map(([name, { ast }]) => [name, compiled(ast)]);
    const swaps = ["group", "image", "rect"].includes(marktype);
    return (item, params) => {
      const scope = { fn, params, datum: item.datum, item };
      let changed = 0;
      for (const [name, one] of of) {
        const value = one(scope);
        if (item[name] !== value) { item[name] = value; changed = 1; }
      }
      if (marktype !== "rule") {
        settle(item, channels, swaps, ["x", "x2", "xc", "width"]);
        settle(item, channels, swaps, ["y", "y2", "yc", "height"]);
      }
      return changed;
    };
  },
};
