# The row of links on the conductor's pages, and what those pages have in common.
stand-label = Pages of the conductor
stand-rehearsal = Rehearsal
stand-plans = Plans
stand-results = Results
stand-weeks = Weeks
stand-room = Room
stand-roster = Roster
stand-access = Access
section-unnamed = Our section
section-invented = { $section }, invented players
