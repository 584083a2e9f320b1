"""The room within a room: its plan, weight, materials, ties, air and stages."""
