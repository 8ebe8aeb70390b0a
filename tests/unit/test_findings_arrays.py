"""What of a record may speak of strength."""

import numpy as np

from pipeline.findings.arrays import strength_arrays


def test_an_estimated_reserve_is_never_handed_to_a_strength_model(decade):
    sets = decade.record.strength_sets
    is_estimated = (sets["rir_source"] == "estimated").to_numpy()
    is_recorded = (sets["rir_source"] == "recorded").to_numpy()
    rir = strength_arrays(decade.record, sets)["rir"]
    assert is_estimated.sum() > 1000
    assert np.isnan(rir[is_estimated]).all()
    assert np.array_equal(rir[is_recorded], sets["rir"].to_numpy()[is_recorded])


def test_the_index_is_the_same_before_and_after_reserve_is_estimated(decade):
    before = strength_arrays(decade.told, decade.told.strength_sets)
    after = strength_arrays(decade.record, decade.record.strength_sets)
    for name, values in before.items():
        assert np.array_equal(values, after[name], equal_nan=values.dtype.kind == "f"), name
