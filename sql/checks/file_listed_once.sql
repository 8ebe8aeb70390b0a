-- holds: every file that rows come from is listed once
-- reads: raw_row, source_file
select file_id, count(source_file.path) as listed
from (select distinct file_id from raw_row) as origin
left join source_file using (file_id)
group by file_id
having listed != 1
