-- grain: one row per session and muscle (or region) that a working set counts for
-- reads: mart_set_segment, ref_contribution
-- A set counts once for a muscle: ref_contribution gives one role per exercise and muscle, a
-- muscle with regions having the highest of theirs. Exercises without a match have no muscles.
select
    segment.lifter_id,
    segment.session_id,
    segment.session_date,
    segment.week_start,
    part.muscle_id,
    coalesce(sum(working_sets) filter (role = 'direct'), 0) as direct_sets,
    coalesce(sum(working_sets) filter (role = 'indirect'), 0) as indirect_sets,
    sum(hard_sets * share.of_a_set) as hard_sets,
    sum(failure_sets * share.of_a_set) as failure_sets,
    coalesce(sum(drop_segments) filter (role = 'direct'), 0) as drop_segments,
    coalesce(sum(tonnage_kg) filter (role = 'direct'), 0) as tonnage_kg
from mart_set_segment as segment
join ref_contribution as part using (exercise_id)
join (values ('direct', 1.0), ('indirect', 0.5)) as share (role, of_a_set) using (role)
group by all
