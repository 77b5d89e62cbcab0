# The section over weeks, for the conductor. Players stand side by side here, since a conductor plans for all of them.

section-weeks-title = The section over weeks
section-weeks-page = { $section } over weeks
section-weeks-of = { $n ->
    [one] One week
   *[other] { $n } weeks
}, { $rehearsed } with a rehearsal
section-weeks-print = Print
section-weeks-invented = Invented players: nobody played this.

## Before the first rehearsal.

section-weeks-none = After the first rehearsal this page shows how the section gets on
section-weeks-none-next = What to plan next, and why: the rung that half of the section holds, and the one after it.
section-weeks-none-who = Who moved to a faster rung in four weeks, who keeps trying the same one, who was away.
section-weeks-none-together = How together the section was, week by week, and a stair of rungs for each player.
section-weeks-none-begin = Use a plan on <a href="/conduct/plans">the page of plans</a> and let it be played. A rung counts once it was played for four bars at one tempo.

## What to plan next, and why.

section-weeks-next = Plan next: { $rung }
section-weeks-next-music = Plan next: into the music
section-weeks-next-nothing = Plan the first rehearsal
section-weeks-why-nothing = No rung was tried yet. The first lesson begins with a straight tone.
section-weeks-why-break = There was no rehearsal for { $n } weeks. Half of the section held { $held }; begin one mark below.
section-weeks-why-break-freely = There was no rehearsal for { $n } weeks. Begin slowly: it comes back soon.
section-weeks-why-begin = { $n ->
    [0] Nobody holds a rung yet
   *[other] { $n } of { $of } hold a rung
}: begin with one pulse on each beat.
section-weeks-why-stay = Stay here for now: half of the section holds it, { $n } of { $of } are stuck above.
section-weeks-why-onwards = { $n } of { $of } hold { $held }: the next mark.
section-weeks-why-musical = { $n } of { $of } hold { $held }. Faster pulses are no vibrato any more: let them grow and fade, ease in and out.
section-weeks-help = In the way of { $n }: { $state }. What helps: { $exercise }.
section-weeks-in-plan = In “{ $plan }”: { $exercise }.
section-weeks-in-whole-plan = In “{ $plan }”.
section-weeks-in-no-plan = None of the plans has it yet.
section-weeks-use = Use “{ $plan }”
section-weeks-to-rehearsal = To the rehearsal
section-weeks-see = See it
section-weeks-see-spoken = See it: { $plan }
section-weeks-make = Make a plan for it

## A plan made for a rung. $rung is as in the headline.

section-weeks-plan-title = Next: { $rung }
section-weeks-plan-about = Made from the weeks so far: a straight tone, the mark below, a ladder up to the new one, and the new one by itself.
section-weeks-plan-care = These are breathing drills: if you feel light-headed, stop, sit down and breathe normally.

## Who moved, who is stuck, who was away.

section-weeks-moved-head = Moved in four weeks
section-weeks-moved = { $name }: from { $before } to { $now }
section-weeks-moved-first = { $name }: { $now }, the first rung
section-weeks-moved-new = { $name }, new: { $now }
section-weeks-moved-nobody = Nobody moved to another rung. Such weeks come to every section.
section-weeks-stuck-head = Stuck
section-weeks-stuck = { $name }: { $rung }, tried in { $n } weeks
section-weeks-stuck-helps = { $name }: { $rung }, tried in { $n } weeks; { $need }
section-weeks-stuck-nobody = Nobody
section-weeks-away-head = Away
section-weeks-missed = { $names }: { $n ->
    [one] the last week
   *[other] the last { $n } weeks
} with a rehearsal
section-weeks-and-more = and { $n } more, below
section-weeks-away-nobody = Nobody: all were in the last rehearsal

## The charts.

section-weeks-chart-together = Together
section-weeks-chart-together-is = How together the pulses were: 1 is all at one moment, 0 anywhere. Line: the middle of all runs of a week; band: half of the runs. A harder rung makes it less.
section-weeks-now-together = now { $r }
section-weeks-chart-matched = Matched, % of the time
section-weeks-chart-matched-is = For how much of the time that could be judged the players were matched.
section-weeks-now-matched = now { $percent } %

## The players.

section-weeks-players = Player by player
section-weeks-players-are = Line: the highest rung held. Open box: the lowest rung tried and not held. Ring: held at home. Dotted: not in a rehearsal. All on one scale, from { $low } up to { $high }.
section-weeks-stair = Rungs of { $name }
section-weeks-stair-is = Holds now: { $now }; four weeks ago: { $before }.
section-weeks-column-player = Player
section-weeks-column-stair = Rung held
section-weeks-column-now = Now
section-weeks-column-before = Four weeks ago
section-weeks-column-tried = Stuck at
section-weeks-column-home = At home
section-weeks-tried = { $rung }, { $n } weeks
section-weeks-tried-state = { $rung }, { $n } weeks: { $state }
section-weeks-has-moved = moved

## The weeks.

section-weeks-figures = Week by week, as a table
section-weeks-column-week = Week from
section-weeks-column-runs = Runs
section-weeks-column-in = Players
section-weeks-column-together = Together
section-weeks-column-spread = Spread
section-weeks-column-matched = Matched
section-weeks-column-n-home = At home
section-weeks-column-home-minutes = Heard at home
section-weeks-unit-ms = ms
section-weeks-unit-percent = %
section-weeks-unit-players = players
section-weeks-unit-min = min
section-weeks-choose-span = How far back
section-weeks-span-12 = twelve weeks
section-weeks-span-52 = a year
section-weeks-span-all = all
section-weeks-reading = How to read this
section-weeks-reading-held = Held means: matched for four bars at one tempo, in a rehearsal. What was held once stays reached; here the last half year counts, a year where you look back further.
section-weeks-reading-next = The next rung is the one after the highest that half of the section holds; who was in no rehearsal for four weeks does not count. If a third are stuck above it, it stays.
section-weeks-reading-stuck = Stuck is who came to no other rung in four weeks, tried one in three or more of the last six, and held neither it nor a faster one with the same pulses.
section-weeks-reading-together = Togetherness and spread: the middle of a week’s runs, each weighed by the players in it. A week goes from Monday to Sunday, by universal time; one without a rehearsal is left out, not filled in.
section-weeks-reading-home = What was played at home changes nothing here; it stands in a column and in rings of its own.
section-weeks-care = First attempts are rough, and that is expected. Light-headed? Stop, sit down, breathe as usual.
