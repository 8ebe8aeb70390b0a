-- holds: a file that says it has records set aside lists at least as many, each with its reason
-- reads: source_file, set_aside
select source_file.file_id, source_file.path, source_file.set_aside, count(set_aside.reason) as listed
from source_file
left join set_aside using (file_id)
group by all
having listed < source_file.set_aside
