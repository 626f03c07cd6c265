"""Under which address a phone in the shop reaches a page: for codes on paper."""

from ipaddress import ip_address

from flask import current_app, request


def shop_address(path: str) -> str:
    """The whole address of one of our paths, which holds nothing but host, port and path; "" where no phone gets there.

    It is the host that this page was asked under. A desk that asks this machine by its own loopback name gets the
    first other host that pages are served under: 127.0.0.1:8210 served to 192.0.2.14 too gives 192.0.2.14:8210.
    """
    host, _, port = request.host.partition(":") if not request.host.startswith("[") else ("", "", "")
    if _is_own_alone(host):
        served = [each for each in current_app.config["TRUSTED_HOSTS"] or () if not _is_own_alone(each)]
        port = request.environ.get("SERVER_PORT", "") if not host else port
        host = served[0] if served else ""
    if not host:
        return ""
    return f"{request.scheme}://{host}{':' if port else ''}{port}{path}"


def _is_own_alone(host: str) -> bool:
    """Whether a host is reached from this machine alone, or is a pattern of hosts."""
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host in {"", "localhost"} or host.startswith(".")
