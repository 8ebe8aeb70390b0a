-- grain: one row per lifter, week of the calendar and muscle (or region) the lifter ever trained
-- reads: calendar_week, mart_session_muscle
-- A week of rest is 0, an unlogged week is null: nobody knows what was done.
with trained as (
    select
        lifter_id,
        week_start,
        muscle_id,
        sum(direct_sets) as direct_sets,
        sum(indirect_sets) as indirect_sets,
        sum(hard_sets) as hard_sets,
        sum(failure_sets) as failure_sets,
        sum(drop_segments) as drop_segments,
        sum(tonnage_kg) as tonnage_kg
    from mart_session_muscle
    group by all
),

muscle as (
    select distinct lifter_id, muscle_id from mart_session_muscle
),

known as (
    select *, case when week_status = 'unlogged' then null else 0 end as rest
    from calendar_week
)

select
    known.lifter_id,
    known.week_start,
    muscle.muscle_id,
    known.week_status,
    coalesce(trained.direct_sets, rest) as direct_sets,
    coalesce(trained.indirect_sets, rest) as indirect_sets,
    coalesce(trained.direct_sets + 0.5 * trained.indirect_sets, rest) as weekly_sets,
    coalesce(trained.hard_sets, rest) as hard_sets,
    coalesce(trained.failure_sets, rest) as failure_sets,
    coalesce(trained.drop_segments, rest) as drop_segments,
    coalesce(trained.tonnage_kg, rest) as tonnage_kg
from known
join muscle using (lifter_id)
left join trained using (lifter_id, week_start, muscle_id)
