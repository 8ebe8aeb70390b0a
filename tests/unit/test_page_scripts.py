"""The parts of the page's own script share one scope."""

import re
from collections import Counter
from importlib import resources

from dashboards.assemble import SCRIPTS


def test_no_name_is_declared_in_two_parts():
    folder = resources.files("dashboards").joinpath("assets")
    texts = [folder.joinpath(name).read_text("utf-8") for name in SCRIPTS]
    names = [re.findall(r"^(?:function|const|let) (\w+)", text, re.M) for text in texts]
    counts = Counter(name for part in names for name in part)
    assert len(counts) > 50
    assert [name for name, times in counts.items() if times > 1] == []
