-- holds: every exercise of a set is in the reference, or its id says that no name was matched
-- reads: tidy_set, ref_exercise
select exercise_id, count(*) as segments
from tidy_set
anti join ref_exercise using (exercise_id)
where not starts_with(exercise_id, 'unmatched:')
group by exercise_id
