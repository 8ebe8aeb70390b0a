-- holds: an exercise gives one role to a muscle, and the muscle is in the reference
-- reads: ref_contribution, ref_muscle
select exercise_id, muscle_id, count(distinct role) as roles, count(*) as listed
from ref_contribution
left join ref_muscle using (muscle_id)
group by exercise_id, muscle_id
having listed != 1 or count(ref_muscle.name) = 0
