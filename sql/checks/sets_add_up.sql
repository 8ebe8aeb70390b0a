-- holds: weeks by lifter and weeks by lift count the working sets and drops that are in tidy_set
-- reads: tidy_set, mart_week_lift, mart_week_lifter
with tidy as (
    select
        lifter_id,
        count(*) filter (segment_no = 1) as sets,
        count(*) filter (segment_no > 1) as drops
    from tidy_set
    where not is_warmup and not is_doubted
    group by lifter_id
),

by_lift as (
    select lifter_id, sum(working_sets) as sets, sum(drop_segments) as drops
    from mart_week_lift
    group by lifter_id
),

by_week as (
    select lifter_id, sum(working_sets) as sets from mart_week_lifter group by lifter_id
)

select
    lifter_id,
    coalesce(tidy.sets, 0) as in_tidy,
    coalesce(by_lift.sets, 0) as in_weeks_by_lift,
    coalesce(by_week.sets, 0) as in_weeks,
    coalesce(tidy.drops, 0) as drops_in_tidy,
    coalesce(by_lift.drops, 0) as drops_in_weeks
from tidy
full join by_lift using (lifter_id)
full join by_week using (lifter_id)
where in_tidy != in_weeks_by_lift or in_tidy != in_weeks or drops_in_tidy != drops_in_weeks
