"""Who brings a car or pays for it."""

from enum import StrEnum


class CustomerKind(StrEnum):
    """Picks the labour rate and the words; a rate for a kind is set in Settings."""

    PRIVATE = "private"
    DEALER = "dealer"
    INSURER = "insurer"
    FLEET = "fleet"


KIND_WORDS = {
    CustomerKind.PRIVATE: "Private",
    CustomerKind.DEALER: "Dealer",
    CustomerKind.INSURER: "Insurer",
    CustomerKind.FLEET: "Fleet",
}
