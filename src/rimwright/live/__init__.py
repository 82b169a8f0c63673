"""The run: probes, steps, alarms and forecasts, free of pages and of the store."""
