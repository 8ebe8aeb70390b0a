-- grain: one row per session and exercise with a working set
-- reads: mart_set_segment
select
    lifter_id,
    session_id,
    session_date,
    week_start,
    exercise_id,
    sum(working_sets) as working_sets,
    sum(hard_sets) as hard_sets,
    sum(failure_sets) as failure_sets,
    sum(drop_segments) as drop_segments,
    sum(reps) as reps,
    sum(tonnage_kg) as tonnage_kg,
    max(top_load_kg) as top_load_kg
from mart_set_segment
group by all
