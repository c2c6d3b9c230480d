"""Floor 3: the pages, room by room; views of ten lines that call one verb."""
