"""The sidebar tab: one panel a file, in the order of the job."""
