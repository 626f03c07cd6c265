"""The codes of the kinds of stage that a plan is drafted with; a test holds them equal to the catalogue's own."""

from enum import StrEnum


class StageCode(StrEnum):
    """Which kind of stage, as kept with every stage and plan; what it takes stands in the catalogue under the code.

    A code is never changed or taken out: books of years ago hold it.
    """

    CHECK_IN = "check_in"
    TRIM_OFF = "trim_off"
    PAINTLESS = "paintless"
    PULL = "pull"
    CUT_RUST = "cut_rust"
    PLASTIC_MEND = "plastic_mend"
    STRIP_OLD = "strip_old"
    SAND_BACK = "sand_back"
    STRIP = "strip"
    FILL = "fill"
    PRIME = "prime"
    BLOCK = "block"
    CLEAR_PREP = "clear_prep"
    COLOUR = "colour"
    MASK = "mask"
    SEAL = "seal"
    BASE_CLEAR = "base_clear"
    UNMASK = "unmask"
    POLISH = "polish"
    FLAT_POLISH = "flat_polish"
    TOUCH_IN = "touch_in"
    WAX = "wax"
    REFIT = "refit"
    FIT_PART = "fit_part"
    PRIME_PART = "prime_part"
    CALIBRATION = "calibration"
    HAND_OVER = "hand_over"
    SCUFF_BASE = "scuff_base"
    SCUFF_PRIMER = "scuff_primer"
    PROMOTER_AGAIN = "promoter_again"
    SCUFF_CLEAR = "scuff_clear"
    CLEAR_OVER = "clear_over"
    FEATHER = "feather_edges"
    EPOXY_FIRST = "epoxy_first"
    CURE = "cure_through"
