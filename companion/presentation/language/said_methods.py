"""How each figure of the findings is made: part of `said.SAID`."""

METHODS_SAID: dict[str, str] = {
    "method_change_interval": (
        "95 % t interval of the change, for days like the day before them (autoregression of order "
        "1); covers 88 to 98 % up to autocorrelation 0.6"
    ),
    "method_pain_model": (
        "level before, a ramp, level at the end, over all recorded days; generalised least squares "
        "on a grid of how days hang together. Chance of a fall of a point or more 97.5 %: lower, "
        "95 %: probably; of a rise 90 %: probably higher; within a point 80 %: about the same. Run "
        "again from day 15; n counts days"
    ),
    "method_kept": (
        "whole weeks from the first entry at home to the day of reading; kept: four of five days "
        "prescribed on open days done; not known: nothing written; n counts days done"
    ),
    "method_period": "first to last day page of the knee, both included",
    "method_diary": "days with any pain value, of all days of the period; late entries counted in",
    "method_routine": (
        "days with hands done, of days prescribed, from the first to the last entry of any kind "
        "under a plan; closed, rest and taped days left out"
    ),
    "method_exercise": (
        "days with exercise done, of days prescribed, from the first to the last entry of any "
        "kind under a plan; closed and rest days left out"
    ),
    "method_closed": (
        "days on which an open sign, a caution of the plan, a bad session or a day without the "
        "helper closed something, of the days from the first to the last entry of any kind under "
        "a plan; the day of opening is open again"
    ),
    "method_pain_baseline": (
        "mean of the recorded days among the first 14 calendar days; already under treatment"
    ),
    "method_pain_latest": "mean of the recorded days among the last 14 calendar days",
    "method_pain_change_points": (
        "latest mean minus baseline mean; 10 recorded days in each window, none shared"
    ),
    "method_pain_change_percent": "change as a share of the baseline mean",
    "method_pain_band": (
        "-1 point or -15 % slight, -2 points or -33 % clear, mirrored for worse; within the error "
        "of one rating, 1.33 points, slight at most, which is our choice"
    ),
    "method_pain_beyond_measurement_error": "change of more than 1.33 points",
    "method_pain_acceptable_state": "latest mean of 3.23 or less",
    "method_pain_trend": (
        "median slope between weekly means, weeks with at least 4 recorded days by their real "
        "number; exact interval; 5 usable weeks, 8 for a useful width"
    ),
    "method_pain_nap": (
        "share of all pairs of a baseline and a latest day in which the latest is lower, ties "
        "half; n counts pairs; Newcombe interval, which takes days as independent"
    ),
    "method_pain_scale_end": "a window’s mean under 1 or over 8: little or no room for change",
    "method_pain_limits": (
        "of the last 28 days: mean without the lowest and highest quarter, spread of the days "
        "below it, at least 0.6; one day against another: 1.96 x sqrt 2 x spread; rise of three "
        "days: 1.5 points or 2.5 standard errors, the larger; most days: the narrowest whole "
        "scores that hold four of five"
    ),
    "method_pain_signals": (
        "mean of three days past the person’s own limit over the 28 days that end three days "
        "before; a new episode after 5 quiet days; one or two a quarter come by chance; not a "
        "recorded flare"
    ),
    "method_pain_process_chart": (
        "mean of all recorded days, and 2.66 and 3.268 mean moving ranges between consecutive "
        "days, within 0 to 10; a picture, not an alarm"
    ),
    "method_pain_without_late": "the same change and interval without pages written late",
    "method_trial": (
        "sign-flip randomisation test on pair differences, interval by inverting it, "
        "Hodges-Lehmann beside it; analysed as scheduled; n counts complete pairs"
    ),
    "method_trial_flow": (
        "a day is taped with tape on for half or more of 08:00 to 21:00, or by its paper page; "
        "days not followed are counted and analysed as scheduled; n counts recorded scored days"
    ),
    "method_next_morning": (
        "least squares of the next day’s score on the day’s amount, the score of the day before, "
        "weekend and time held equal; n counts pairs of days; other causes are possible"
    ),
    "method_pain_flares": (
        "by the median of the 28 days before as usual, where the paper asks the person for it: "
        "2 or more above it on 2 or more days running; over after 5 usual days; one or two a "
        "quarter come by chance"
    ),
    "method_ease": (
        "fall from before to last after score as a share of before; the target is the plan’s"
    ),
    "method_activities": (
        "0 unable to 10 as before, by the model of the pain over all scored days; 3 points are the "
        "error of one rating, not of a mean"
    ),
    "method_activities_mean": (
        "mean over the activities on days on which all were scored, by the model of the pain; 2 "
        "points are the error of one rating of that mean"
    ),
    "method_amounts": (
        "the largest of each day in tenths of its goal, what is beyond counting as the goal, by "
        "the model of the pain; n counts days"
    ),
    "method_tape": (
        "times tape was put on, days worn, times it came off after it was due by the plan"
    ),
    "method_tape_skin_events": "skin red past 30 minutes, itchy, blistered or broken",
    "method_warnings": "signs ticked on the stop list, all kept",
    "method_stopped_steps": (
        "steps and exercises that ended in pain, by the limits of the plan of their session"
    ),
    "method_unsafe": (
        "open signs by the policy; falls, head and skin of 90 days; steps stopped in 3 of 5 "
        "sessions or above 7; answers two steps above the usual, or on 3 of 7 days; pain "
        "probably higher, and own limit; no entry for 7 days, 3 after a card, with its chance by "
        "the days left out before"
    ),
    "method_on_paper": (
        "days copied from paper, which asks of no fall, sign, stopped step, night or stairs"
    ),
    "method_unsettled": (
        "entries later than the day they were taken in, or against the order in which their "
        "computer wrote; what two computers tell differently; entries that do not fit their file"
    ),
    "method_events": "dated events as written",
    "method_chair_stand": (
        "below average if fewer stands than the table; arms used score 0; more than 2.5 stands "
        "pass the error within one session; a second trial gains 0.5 to 0.8 by practice"
    ),
}
