-- holds: every set and every signal comes from a row of a file that was read
-- reads: tidy_set, tidy_signal, raw_row
with origin as (
    select file_id, row_no from tidy_set
    union
    select file_id, row_no from tidy_signal
)
select file_id, row_no
from origin
anti join raw_row using (file_id, row_no)
