"""How each figure is made and the facts it rests on, keyed by the finding's dotted key.

The facts are ids of `resources/facts.csv`; their sources and letters stand there alone.
"""

from dataclasses import dataclass

from companion.care.coded import Coded, coded


@dataclass(frozen=True, slots=True)
class Source:
    """How a figure is made, and the ids of the facts behind it."""

    method: Coded
    facts: tuple[str, ...]


_INTERVAL = Source(
    coded("method_change_interval"),
    ("change_interval",),
)
_OF_WHAT_WAS_PRESCRIBED = ("adherence_share", "adherence_days_out")

SOURCES: dict[str, Source] = {
    "period": Source(coded("method_period"), ("own_definition",)),
    "diary": Source(coded("method_diary"), ("diary_on_time",)),
    "routine": Source(coded("method_routine"), _OF_WHAT_WAS_PRESCRIBED),
    "verdicts.kept": Source(coded("method_kept"), (*_OF_WHAT_WAS_PRESCRIBED, "week_kept")),
    "exercise": Source(coded("method_exercise"), _OF_WHAT_WAS_PRESCRIBED),
    "closed": Source(coded("method_closed"), ("sign_levels", "cautions_acted_on")),
    "pain.baseline": Source(coded("method_pain_baseline"), ("day_mean",)),
    "pain.latest": Source(coded("method_pain_latest"), ("day_mean",)),
    "pain.change_points": Source(coded("method_pain_change_points"), ("window_days_needed",)),
    "pain.change_percent": Source(coded("method_pain_change_percent"), ("window_days_needed",)),
    "pain.band": Source(
        coded("method_pain_band"),
        (
            "pain_change_slight",
            "pain_change_slight_percent",
            "pain_change_clear",
            "pain_change_clear_percent",
            "pain_detectable_change",
            "pain_band_joined",
        ),
    ),
    "pain.beyond_measurement_error": Source(
        coded("method_pain_beyond_measurement_error"), ("pain_detectable_change",)
    ),
    "pain.acceptable_state": Source(coded("method_pain_acceptable_state"), ("pain_acceptable",)),
    "pain.model": Source(
        coded("method_pain_model"),
        ("change_model", "change_verdicts", "change_verdicts_slow", "bad_spell_entry"),
    ),
    "pain.low": _INTERVAL,
    "pain.high": _INTERVAL,
    "pain.trend": Source(coded("method_pain_trend"), ("trend_slope", "trend_interval", "day_mean")),
    "pain.nap": Source(coded("method_pain_nap"), ("nap", "nap_interval")),
    "pain.scale_end": Source(coded("method_pain_scale_end"), ("scale_ends",)),
    "pain.limits": Source(coded("method_pain_limits"), ("pain_detectable_change", "own_limits")),
    "pain.signals": Source(coded("method_pain_signals"), ("flare_signal",)),
    "pain.process_chart": Source(coded("method_pain_process_chart"), ("process_chart",)),
    "pain.without_late": Source(coded("method_pain_without_late"), ("diary_on_time",)),
    "trial": Source(coded("method_trial"), ("sign_flip", "hodges_lehmann", "trial_report")),
    "trial.flow": Source(coded("method_trial_flow"), ("trial_taped_day",)),
    "next_morning": Source(coded("method_next_morning"), ("next_morning",)),
    "pain.flares": Source(
        coded("method_pain_flares"), ("flare_points", "flare_days", "flare_over", "flare_usual")
    ),
    "ease": Source(coded("method_ease"), ("ease_target",)),
    "activities": Source(
        coded("method_activities"),
        ("change_model", "change_verdicts", "activity_detectable_change"),
    ),
    "activities_mean": Source(
        coded("method_activities_mean"),
        ("change_model", "change_verdicts", "activities_detectable_change"),
    ),
    "amounts": Source(
        coded("method_amounts"), ("change_model", "change_verdicts", "amount_tenths")
    ),
    "tape": Source(coded("method_tape"), ("wear_usual", "wear_cap")),
    "tape.skin_events": Source(coded("method_tape_skin_events"), ("skin_red_minutes",)),
    "warnings": Source(coded("method_warnings"), ("own_definition",)),
    "stopped_steps": Source(coded("method_stopped_steps"), ("own_definition",)),
    "unsafe": Source(
        coded("method_unsafe"), ("unsafe_watch", "usual_answers", "silence_by_chance")
    ),
    "unsettled": Source(coded("method_unsettled"), ("own_definition",)),
    "on_paper": Source(coded("method_on_paper"), ("own_definition",)),
    "events": Source(coded("method_events"), ("own_definition",)),
    "chair_stand": Source(
        coded("method_chair_stand"),
        ("chair_stand_table", "chair_stand_arms", "chair_stand_change", "chair_stand_practice"),
    ),
}
