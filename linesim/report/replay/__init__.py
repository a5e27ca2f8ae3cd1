"""One replication as a page to leaf through: from the event log to drawings that a reader steps and plays."""
