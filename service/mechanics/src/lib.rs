//! Formulas and verdicts of driveline mechanics. Knows nothing of parts, databases or time.
