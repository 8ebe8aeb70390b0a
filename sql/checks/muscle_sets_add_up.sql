-- holds: weeks by muscle count each working set once for each muscle its exercise trains
-- reads: tidy_set, ref_contribution, mart_week_muscle
with tidy as (
    select
        lifter_id,
        muscle_id,
        count(*) filter (role = 'direct') as direct,
        count(*) filter (role = 'indirect') as indirect
    from tidy_set
    join ref_contribution using (exercise_id)
    where not is_warmup and not is_doubted and segment_no = 1
    group by lifter_id, muscle_id
),

weeks as (
    select
        lifter_id,
        muscle_id,
        coalesce(sum(direct_sets), 0) as direct,
        coalesce(sum(indirect_sets), 0) as indirect
    from mart_week_muscle
    group by lifter_id, muscle_id
)

select lifter_id, muscle_id, tidy.direct, weeks.direct, tidy.indirect, weeks.indirect
from tidy
full join weeks using (lifter_id, muscle_id)
where coalesce(tidy.direct, 0) != coalesce(weeks.direct, 0)
    or coalesce(tidy.indirect, 0) != coalesce(weeks.indirect, 0)
