-- holds: no week has more hard sets, or more sets to failure, than working sets
-- reads: mart_week_lift, mart_week_muscle
with counted as (
    select lifter_id, week_start, exercise_id as what, working_sets as sets, hard_sets, failure_sets
    from mart_week_lift
    union all
    select lifter_id, week_start, muscle_id, weekly_sets, hard_sets, failure_sets
    from mart_week_muscle
)
select *
from counted
where hard_sets > sets or failure_sets > hard_sets
