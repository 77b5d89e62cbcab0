# Practice at home, alone with the device: the page before and after, and the controls beside the lane.

practice-title = Practice at home
practice-short-name = Practice
practice-begin = Listen and begin
practice-beginning = Begins
practice-known = You are { $name }, { $instrument }
practice-sound-stays = Your device asks whether it may listen. The sound never leaves it.
practice-care = Breathing drills tire. Stop, sit down and breathe as usual when you feel light-headed, and stop for today when you are tired: ten minutes a day do more than an hour once a week.
practice-plan-about =
    { $n ->
        [one] One exercise, { $minutes }.
       *[other] { $n } exercises, { $minutes }.
    }
practice-plan-chosen = Set by your teacher on { $day }, for { $section }.
practice-plan-room = What { $section } plays in the rehearsal, as of { $day }.
practice-plan-built-in = A plan that comes with Windrow, until your teacher sets another.
practice-plan-missing = Your teacher’s computer cannot be reached, and no plan is kept on this device yet. Open this page once in the rehearsal.
practice-no-plan = There is no plan to practise yet. Open this page once in the rehearsal.
practice-minutes =
    { $n ->
        [0] less than a minute
        [one] 1 minute
       *[other] { $n } minutes
    }

## What became of a practice, and the list of them.

practice-came-to = Time played: { $minutes }. Well done.
practice-came-to-rung = You held { $rung } for four bars. Time played: { $minutes }. Well done.
practice-came-to-nothing = Nothing was played, so nothing is kept.
practice-was-long = An hour is enough for one day, so it ends here.
practice-mine = My practice
empty-practices = Nothing yet. What you practise is listed here, and your teacher sees it when you are next in the rehearsal.
practice-all =
    { $n ->
        [one] One practice, { $minutes }.
       *[other] { $n } practices, { $minutes } together.
    }
practice-all-with-rung =
    { $n ->
        [one] One practice, { $minutes }. Highest rung held: { $rung }.
       *[other] { $n } practices, { $minutes } together. Highest rung held: { $rung }.
    }
practice-rung = held { $rung }
practice-is-handed-in = With your teacher.
practice-is-here = On this device alone so far.
practice-is-refused = Not taken by your teacher’s computer: { $why }
practice-save = Save as a file
practice-save-of = Save the practice of { $when } as a file
practice-delete = Delete
practice-delete-of = Delete the practice of { $when }
practice-delete-sure = Delete for good
practice-file = Bring a practice from elsewhere
practice-file-what = From another device of yours, from the terminal, or from this device where the rehearsal had another address: save it there as a file and choose it here.
practice-file-choose = File of a practice
practice-file-taken = “{ $file }” is in the list.
practice-file-strange = “{ $file }” holds no practice.
practice-hands-in = Hand in my practice by itself at the next rehearsal
practice-not-kept = This browser keeps nothing just now: it is full, or a private window. You can practise all the same; your teacher will not see it.

## Whether the page is kept on the device.

practice-keeping = Without the rehearsal’s Wi-Fi
practice-kept = This page and its plan are kept on this device: at home, open this same address. Easiest is to put it on the home screen now: in the browser’s menu, “Add to Home Screen” or “Install”. On an iPhone that also keeps it from being cleared after some weeks.
practice-not-plain = This page came over plain http, so no browser keeps it. It works as long as the computer it came from can be reached.
practice-not-trusted = This browser does not trust your teacher’s computer yet, so it keeps no page of it: here you can practise only in the rehearsal’s Wi-Fi. Install the certificate once, as the welcome page says, then open this page again. Or ask for the way without a browser: windrow play --solo.
practice-to-welcome = How to install the certificate
practice-not-browser = This browser keeps no pages for later, as private windows do. Open this address in a usual window, or in another browser.
practice-not-reached = Your teacher’s computer cannot be reached just now, so the page could not be kept. Open it again in the rehearsal.

## While one practises.

practice-controls = Practice
practice-start = Start
practice-stop = Stop
practice-go-on = Go on
practice-again = Again
practice-next = Next
practice-slower = Slower
practice-slower-to = Slower, { $bpm }
practice-faster = Faster
practice-faster-to = Faster, { $bpm }
practice-plan = Plan
practice-done = I am done
practice-exercise = Exercise
practice-flow = The plan goes on by itself
practice-flow-what = After each exercise comes its rest, then the next one is counted in. “Stop” ends that at any time.
practice-resting = Rest: { $name } in { $s } s
practice-step-next = That held. Next: { $next }
practice-step-last = That held, and it was the last exercise.
practice-step-again = Play it once more.
practice-step-slower = Take it slower: { $bpm }.
practice-step-back = Go one rung back.
practice-step-microphone = The device did not hear you well: see “More”, “Check my microphone”.
practice-step-rest = Rest first, for two minutes.
practice-care-rest = { $minutes } minutes without a rest: put the instrument down for two.
practice-care-breath = Breath pulses can make you light-headed: if you feel it, stop, sit down and breathe as usual.

## On the plans page.

practice-set = For practice at home
practice-set-spoken = { $title } for practice at home
practice-is-set = at home
practice-was-set = “{ $title }” is the plan for practice at home now. Players get it when they open their practice page in the rehearsal.
