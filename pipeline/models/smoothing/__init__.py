"""Weekly trends by banded Cholesky: the engine under the strength models."""
