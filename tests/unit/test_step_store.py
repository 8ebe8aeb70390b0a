"""The results of the steps on disk: complete or not there, whatever an earlier run left."""

from pipeline.flows.cache import name_run


def test_braces_in_a_file_name_are_no_place_to_fill_in():
    assert name_run("file", "larch/%s{0}{x.y}.csv").format() == "file larch/%s{0}{x.y}.csv"
