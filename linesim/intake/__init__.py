"""What plants keep in their workbooks and CSV files, read into the tables that a scenario names."""
