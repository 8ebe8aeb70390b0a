"""What was predicted and what came of it: lines for the file of predictions, and their scores."""

from pipeline.findings.predictions.due import choose_due
from pipeline.findings.predictions.kept import PREDICTION, frame_of_lines, line_of
from pipeline.findings.predictions.make import Ahead, look_ahead
from pipeline.findings.predictions.score import answer_scores, score_predictions

__all__ = [
    "PREDICTION",
    "Ahead",
    "answer_scores",
    "choose_due",
    "frame_of_lines",
    "line_of",
    "look_ahead",
    "score_predictions",
]
