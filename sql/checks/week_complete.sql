-- holds: a lifter's weeks run from Monday to Monday without a gap or a repeat
-- reads: calendar_week
select
    lifter_id,
    count(*) as weeks,
    (max(week_start) - min(week_start)) // 7 + 1 as wanted
from calendar_week
group by lifter_id
having weeks != wanted or count(distinct week_start) != wanted or bool_or(isodow(week_start) != 1)
