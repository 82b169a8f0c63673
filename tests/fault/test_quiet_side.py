"""Good bends raise no alarm; chatter and storms raise few."""

import random
from collections import Counter

from bends_heated import good_bends
from counts import SOAK
from rimwright.live.judging import HeatContext
from watched import Watched, heat_on

#: Of the issue.
FALSE_IN_1000 = 1


def watched_bend(bend, seed):
    """The bend as its maker marks it, a tap at least every few minutes."""
    dice = random.Random(f"watch {seed}")
    run = Watched(keep=False, heat=HeatContext(on=False, target_c=bend.target_c))
    marks = [(bend.marked_s, 1.0), (bend.marked_off_s, 0.0)]
    marks += [mark for mark in bend.turns if mark[0] < bend.marked_off_s]
    marks.sort()
    context = {"target_c": bend.target_c, "limit_c": bend.limit_c, "room_c": 21.0}
    for at_s, celsius in bend.readings(dice):
        while marks and marks[0][0] <= at_s:
            mark_s, share = marks.pop(0)
            run.present_s = mark_s
            if share:
                since = run.heat.since_s if run.heat.on else mark_s
                run.heat = heat_on(since, share=share, **context)
            else:
                run.heat = HeatContext(on=False, since_s=mark_s, **context)
        if at_s - run.present_s > 240.0:
            run.present_s = at_s
        run.hear(at_s, celsius)
        run.tick(at_s)
    return run


def test_a_good_bend_raises_no_alarm():
    runs = 1000 if SOAK else 60
    false, seconds, of = [], 0.0, Counter()
    for seed, bend in enumerate(good_bends(runs)):
        run = watched_bend(bend, seed)
        seconds += bend.time_s[-1]
        of[bend.school] += 1
        false += [(seed, bend.school, bend.power_w_in2, bend.control, one) for one in run.called]
    print(
        f"{runs} good bends ({', '.join(f'{n} {school}' for school, n in of.items())}; "
        f"{seconds / 3600.0:.0f} h of readings): {len(false)} false alarms, "
        f"limit {FALSE_IN_1000} in 1000"
    )
    for one in false:
        print("  ", one)
    assert len(false) <= FALSE_IN_1000 * runs // 1000
