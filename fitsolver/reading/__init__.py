"""Reading: files to records, with every refusal naming file, row and field."""
