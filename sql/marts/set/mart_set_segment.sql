-- grain: one row per segment of a working set: a straight set, the parent of a drop cluster or a drop
-- reads: tidy_set, ref_lifter, ref_threshold
-- The counting rule, here and nowhere else:
-- a working set is neither a warm-up nor doubted; a drop cluster is one set, counted at its parent
--   (segment 1), its drops are counted beside it, their work is added;
-- hard: at most hard_set_max_rir repetitions in reserve, recorded or estimated, or to failure;
-- a cluster is hard, or taken to failure, when any of its segments is;
-- tonnage: external load x repetitions; help on an assisted lift is no load lifted;
-- a week starts on the weekday that the lifter chose;
-- top load: what was moved (body weight share included) by a straight or parent set.
with working as (
    select
        *,
        coalesce(to_failure, false) as is_failure,
        coalesce(rir <= threshold.value, false) or coalesce(to_failure, false) as is_hard
    from tidy_set
    left join (select lifter_id, week_starts_on from ref_lifter) using (lifter_id)
    cross join (from ref_threshold where threshold = 'hard_set_max_rir') as threshold
    where not is_warmup and not is_doubted
),

clustered as (
    select
        * exclude (is_failure, is_hard),
        case
            when cluster_id is null then is_failure else bool_or(is_failure) over cluster
        end as is_failure,
        case when cluster_id is null then is_hard else bool_or(is_hard) over cluster end as is_hard
    from working
    window cluster as (partition by lifter_id, session_id, cluster_id)
)

select
    lifter_id,
    session_id,
    session_date,
    session_date - ((isodow(session_date) - week_starts_on + 7) % 7)::integer as week_start,
    exercise_id,
    cluster_id,
    segment_no,
    (segment_no = 1)::bigint as working_sets,
    (segment_no = 1 and is_hard)::bigint as hard_sets,
    (segment_no = 1 and is_failure)::bigint as failure_sets,
    (segment_no > 1)::bigint as drop_segments,
    coalesce(reps, 0) as reps,
    case when load_basis = 'assisted' then 0 else coalesce(load_kg * reps, 0) end as tonnage_kg,
    case when segment_no = 1 then load_moved_kg end as top_load_kg
from clustered
