"""What changed since the last refresh: verdicts that have stood, best sets, things to clear."""

from pipeline.findings.news.state import Told, read_told
from pipeline.findings.news.tell import READS as NEWS_READS
from pipeline.findings.news.tell import News, Now, tell_news

__all__ = ["NEWS_READS", "News", "Now", "Told", "read_told", "tell_news"]
