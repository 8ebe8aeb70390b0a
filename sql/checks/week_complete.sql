-- holds: a lifter's weeks start on the weekday chosen and follow each other without gap or repeat
-- reads: calendar_week, ref_lifter
select
    lifter_id,
    count(*) as weeks,
    (max(week_start) - min(week_start)) // 7 + 1 as wanted
from calendar_week
join ref_lifter using (lifter_id)
group by lifter_id
having weeks != wanted
    or count(distinct week_start) != wanted
    or bool_or(isodow(week_start) != week_starts_on)
