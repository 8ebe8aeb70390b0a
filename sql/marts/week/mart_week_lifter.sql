-- grain: one row per lifter and week of the calendar
-- reads: calendar_week, mart_session_lift, ref_exercise, ref_lifter, tidy_signal
-- Pushing and pulling are working sets on exercises whose movement pattern is a press or a pull
-- of the arms, lying, standing or hanging; raises, flyes, curls and extensions are neither.
with trained as (
    select
        lift.lifter_id,
        lift.week_start,
        count(distinct lift.session_id) as sessions,
        sum(lift.working_sets) as working_sets,
        sum(lift.hard_sets) as hard_sets,
        sum(lift.failure_sets) as failure_sets,
        coalesce(sum(lift.working_sets) filter (
            exercise.pattern in ('horizontal_push', 'vertical_push')
        ), 0) as pushing_sets,
        coalesce(sum(lift.working_sets) filter (
            exercise.pattern in ('horizontal_pull', 'vertical_pull')
        ), 0) as pulling_sets,
        sum(lift.tonnage_kg) as tonnage_kg
    from mart_session_lift as lift
    left join ref_exercise as exercise using (exercise_id)
    group by all
),

weighed as (
    select
        lifter_id,
        date - ((isodow(date) - week_starts_on + 7) % 7)::integer as week_start,
        avg(value) as body_weight_kg
    from tidy_signal
    join ref_lifter using (lifter_id)
    where signal = 'body_weight_kg'
    group by all
),

known as (
    select *, case when week_status = 'unlogged' then null else 0 end as rest
    from calendar_week
)

select
    known.lifter_id,
    known.week_start,
    known.week_status,
    known.training_age_years,
    coalesce(trained.sessions, rest) as sessions,
    coalesce(trained.working_sets, rest) as working_sets,
    coalesce(trained.hard_sets, rest) as hard_sets,
    coalesce(trained.failure_sets, rest) as failure_sets,
    coalesce(trained.pushing_sets, rest) as pushing_sets,
    coalesce(trained.pulling_sets, rest) as pulling_sets,
    coalesce(trained.tonnage_kg, rest) as tonnage_kg,
    weighed.body_weight_kg
from known
left join trained using (lifter_id, week_start)
left join weighed using (lifter_id, week_start)
