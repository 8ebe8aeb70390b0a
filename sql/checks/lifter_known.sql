-- holds: every lifter with a set or a signal is in the settings
-- reads: tidy_set, tidy_signal, ref_lifter
with seen as (
    select lifter_id from tidy_set
    union
    select lifter_id from tidy_signal
)
select lifter_id
from seen
anti join ref_lifter using (lifter_id)
