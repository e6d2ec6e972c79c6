"""From notebook lines to the next batch: paste in, the map of what was tried, and the proposal."""
