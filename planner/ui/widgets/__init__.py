"""What several panes are made of: fields, lines, spans, remarks."""
