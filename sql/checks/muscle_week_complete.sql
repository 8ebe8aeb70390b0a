-- holds: every muscle a lifter ever trained has one row in every week of the calendar
-- reads: calendar_week, mart_week_muscle
with wanted as (
    select lifter_id, count(*) as weeks from calendar_week group by lifter_id
)
select week.lifter_id, week.muscle_id, count(*) as found, wanted.weeks
from mart_week_muscle as week
join wanted using (lifter_id)
group by week.lifter_id, week.muscle_id, wanted.weeks
having found != weeks or count(distinct week.week_start) != weeks
