"""What people look at and take away: terminal pages, the settings card, charts, columns."""
