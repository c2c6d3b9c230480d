"""What a worn bore or journal is machined to: its form, its wear, the step that cleans it up, its price."""
