-- holds: a layoff counts 0 sets, an unlogged week none known, any other week a number
-- reads: mart_week_muscle, mart_week_lifter
with counted as (
    select lifter_id, week_start, week_status, weekly_sets as sets from mart_week_muscle
    union all
    select lifter_id, week_start, week_status, working_sets from mart_week_lifter
)
select *
from counted
where (week_status = 'unlogged') != (sets is null)
    or (week_status = 'layoff' and sets != 0)
