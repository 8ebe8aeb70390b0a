-- grain: one row per week and exercise with a working set
-- reads: mart_session_lift
select
    lifter_id,
    week_start,
    exercise_id,
    sum(working_sets) as working_sets,
    sum(hard_sets) as hard_sets,
    sum(failure_sets) as failure_sets,
    sum(drop_segments) as drop_segments,
    sum(tonnage_kg) as tonnage_kg,
    max(top_load_kg) as top_load_kg
from mart_session_lift
group by all
