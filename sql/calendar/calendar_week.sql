-- grain: one row per lifter and week, from the week of the first set to the week of the last
-- reads: tidy_set, tidy_event, ref_lifter
-- Every week has a status, so that a rest (known) differs from a gap in the record (unknown):
-- trained, deload: sets were logged; deload when at least half of the week's training days lie in
--   a deload, so that one from Wednesday to Tuesday does not mark two weeks without need;
-- layoff: no sets, and a layoff (or a deload taken as full rest) reaches into the week;
-- unlogged: no sets and nothing that says why.
-- A doubted set has a doubted date, so it makes no week.
with training_day as (
    select distinct
        lifter_id,
        session_date as day,  -- weeks start on the weekday that the lifter chose
        session_date - ((isodow(session_date) - week_starts_on + 7) % 7)::integer as week_start
    from tidy_set
    join ref_lifter using (lifter_id)
    where not is_doubted
),

week as (
    select
        lifter_id,
        unnest(generate_series(min(week_start), max(week_start), interval 7 day))::date as week_start
    from training_day
    group by lifter_id
),

-- Without an end a deload lasts a week, a layoff until the next training day.
rest as (
    select
        event.lifter_id,
        event.kind,
        event.start,
        case
            when event."end" is not null then event."end"
            when event.kind = 'deload' then event.start + 6
            else coalesce(min(training_day.day) - 1, date '9999-12-31')
        end as last_day
    from tidy_event as event
    left join training_day
        on training_day.lifter_id = event.lifter_id
        and training_day.day > event.start
    where event.kind in ('deload', 'layoff')
    group by event.lifter_id, event.kind, event.start, event."end"
),

day_count as (
    select
        lifter_id,
        week_start,
        count(*) as days,
        count(*) filter (
            exists (
                from rest
                where rest.lifter_id = training_day.lifter_id
                    and rest.kind = 'deload'
                    and training_day.day between rest.start and rest.last_day
            )
        ) as deload_days
    from training_day
    group by lifter_id, week_start
)

select
    week.*,
    case
        when day_count.days is null and exists (
            from rest
            where rest.lifter_id = week.lifter_id
                and rest.start <= week.week_start + 6
                and rest.last_day >= week.week_start
        ) then 'layoff'
        when day_count.days is null then 'unlogged'
        when 2 * day_count.deload_days >= day_count.days then 'deload'
        else 'trained'
    end as week_status,
    (week.week_start - ref_lifter.training_began) / 365.25 as training_age_years
from week
join ref_lifter using (lifter_id)
left join day_count using (lifter_id, week_start)
