"""The photo of a customer's tax certificate: kept with what is known of it, shown to whoever sees customers."""

from dataclasses import replace

from flask import request

from shopbook.trade.billing.exempt import exemption_from_json, exemption_to_json
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import RuleBroken
from shopbook.web.customers.forms import CustomerForm
from shopbook.web.parts.forms import Cleaned
from shopbook.web.parts.photos import carry, keep_sent
from shopbook.web.parts.rows import Customer


class CertificatePhoto:
    """The photo that came with a customer's form, kept on disk before anything is recorded."""

    def __init__(self) -> None:
        self.kept: list[KeptPicture] = []
        self.troubles: list[str] = []
        if request.method == "POST":
            self.kept, self.troubles = keep_sent()

    @property
    def carried(self) -> list[str]:
        """As a refused form carries it on."""
        return [carry(each) for each in self.kept]

    def clean(self, form: CustomerForm, customer: Customer | None = None) -> Cleaned:
        """What was typed, with the photo beside the certificate: the new one, else the one that it has.

        RuleBroken (photo, exempt_kind) for a file that is no photo, and for a photo of no certificate.
        """
        if self.troubles:
            raise RuleBroken(self.troubles[0], "photo")
        goes, found = bool(form.exempt_photo_goes.data), form.clean()
        certificate = exemption_from_json(found["exemption"])
        if certificate is None:
            if self.kept:
                raise RuleBroken("Choose the kind of certificate that the photo shows.", "exempt_kind")
            return found
        before = exemption_from_json(customer.exemption) if customer and not goes else None
        photo = (before.picture, before.thumbnail) if before else ("", "")
        if self.kept:
            photo = (self.kept[-1].sha256, self.kept[-1].thumbnail_sha256)
        return found | {"exemption": exemption_to_json(replace(certificate, picture=photo[0], thumbnail=photo[1]))}
