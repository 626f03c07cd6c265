"""How the bands of days late are said."""

from shopbook.trade.billing.ageing import AgeBand

BAND_WORDS = {
    AgeBand.CURRENT: "not due yet",
    AgeBand.TO_30: "1 to 30 days late",
    AgeBand.TO_60: "31 to 60 days late",
    AgeBand.TO_90: "61 to 90 days late",
    AgeBand.OVER_90: "over 90 days late",
}
