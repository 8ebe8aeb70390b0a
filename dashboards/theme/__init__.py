"""The one visual language of the pages: colours, type and the vega configuration."""
