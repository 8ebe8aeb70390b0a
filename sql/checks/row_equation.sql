-- holds: every record read from a file is kept, repeated, set aside or blank
-- reads: source_file
select file_id, path, "read", kept, repeated, set_aside, blank
from source_file
where "read" != kept + repeated + set_aside + blank
