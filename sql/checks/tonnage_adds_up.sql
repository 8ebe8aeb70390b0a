-- holds: weekly tonnage is the external load x repetitions of all working segments in tidy_set
-- reads: tidy_set, mart_week_lifter
with tidy as (
    select lifter_id, sum(load_kg * reps) as kg
    from tidy_set
    where not is_warmup and not is_doubted and load_basis != 'assisted'
    group by lifter_id
),

weeks as (
    select lifter_id, sum(tonnage_kg) as kg from mart_week_lifter group by lifter_id
)

select lifter_id, tidy.kg as in_tidy, weeks.kg as in_weeks
from tidy
full join weeks using (lifter_id)
where abs(coalesce(tidy.kg, 0) - coalesce(weeks.kg, 0)) > 1e-9 * greatest(tidy.kg, 1)
