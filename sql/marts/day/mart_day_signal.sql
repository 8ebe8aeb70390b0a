-- grain: one row per lifter, signal and day with a reading
-- reads: tidy_signal
-- Where two devices tell of a day, the one that read the signal on more days is kept; of equals the
-- first by name, a device without one before all others; of one device's readings the first row.
-- Every question and page that wants one reading a day reads it here, so that all tell the same.
with worn as (
    select lifter_id, signal, device_id, count(distinct date) as days
    from tidy_signal
    group by all
)

select
    reading.lifter_id,
    reading.signal,
    reading.date,
    reading.value,
    reading.unit,
    reading.device_id,
    count(*) over (partition by reading.lifter_id, reading.signal, reading.date) as readings
from tidy_signal as reading
join worn
    on worn.lifter_id = reading.lifter_id
    and worn.signal = reading.signal
    and worn.device_id is not distinct from reading.device_id
qualify row_number() over (
    partition by reading.lifter_id, reading.signal, reading.date
    order by worn.days desc, reading.device_id nulls first, reading.row_no, reading.file_id
) = 1
