"""The steps of a refresh as plain functions: each makes one folder of results from its inputs.

No Prefect here: the flow decides when a step runs, these say what it does. Each returns the
function that fills the folder, so that a result already there costs nothing.
"""

import json
import pickle
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.checks.quarantine import quarantine
from pipeline.checks.suites import check_frames
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import InputError
from pipeline.findings import answer_lifter, answer_lifts, estimate_reserve, find_events
from pipeline.flows.inputs import Inputs
from pipeline.sources.maps import SourceMap
from pipeline.sources.snapshot import SourceFile, take_snapshot
from pipeline.sources.table import raw_rows, read_raw
from pipeline.store.warehouse import add_tables, build_warehouse, read_tables
from pipeline.tidy.tidy_file import tidy_file

Make = Callable[[Path], None]
