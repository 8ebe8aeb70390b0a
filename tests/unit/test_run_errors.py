"""What a failed run leaves behind, and what the next good one takes away."""

import pytest

from pipeline.core.errors import EngineError
from pipeline.core.home import Home
from pipeline.flows import run as flow_run


def test_the_detail_of_a_fault_goes_with_the_next_good_run(tmp_path, monkeypatch):
    home = Home(tmp_path)
    home.settings.write_text("schema = 1\n", "utf-8")
    faults = [RuntimeError("a fault")]

    def once(*_: object) -> dict[str, object]:
        if faults:
            raise faults.pop()
        return {"kept": 1}

    monkeypatch.setattr(flow_run, "_run_flow", once)
    monkeypatch.setattr(flow_run, "Server", object)
    monkeypatch.setattr(flow_run, "set_environment", lambda _: None)
    with pytest.raises(EngineError, match="a fault"):
        flow_run.refresh_home(tmp_path)
    assert (home.cache / flow_run.LAST_ERROR).exists()
    assert flow_run.refresh_home(tmp_path) == {"kept": 1}
    assert not (home.cache / flow_run.LAST_ERROR).exists()
