"""The owner's mail account: the server in the settings, the password in the system's keyring."""

from __future__ import annotations

from app.actions.desk.settings import Settings
from app.documents.papers.post import MailServer, Security
from app.errors import Mendable

SERVICE = "bayledger mail"


def mail_server(settings: Settings) -> MailServer:
    """The server as set; `Mendable` while none is."""
    if not settings.mail_host:
        raise Mendable(
            "No mail server is set yet; enter it in the settings, or send the drafts by hand."
        )
    return MailServer(
        settings.mail_host,
        settings.mail_port,
        Security(settings.mail_security),
        settings.mail_user,
    )


def keep_password(server: MailServer, password: str) -> None:
    """Give the password to the operating system's keyring; it never goes into the book."""
    import keyring
    from keyring.errors import KeyringError

    try:
        keyring.set_password(SERVICE, _account(server), password)
    except KeyringError as trouble:
        raise Mendable(
            "This system has no keyring that could keep the password; "
            "set one up, or send the drafts with your mail program."
        ) from trouble


def password_of(server: MailServer) -> str:
    """The password from the keyring; empty for a server without a user."""
    if not server.user:
        return ""
    import keyring
    from keyring.errors import KeyringError

    try:
        found = keyring.get_password(SERVICE, _account(server))
    except KeyringError:
        found = None
    if not found:
        raise Mendable(
            f"The password for {server.user} at {server.host} is not in the keyring; "
            "enter it in the settings."
        )
    return found


def _account(server: MailServer) -> str:
    return f"{server.user} at {server.host}"
