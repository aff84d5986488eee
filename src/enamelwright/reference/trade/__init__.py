"""Customs of the trade: rules, techniques, faults, thresholds."""
