"""A mail server of a few lines (RFC 5321), for tests that send mail over a real connection."""

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager


class MailServer(socketserver.ThreadingTCPServer):
    """Takes every mail, but none for an address in `unknown`."""

    daemon_threads = True

    def __init__(self, unknown: tuple[str, ...] = ()) -> None:
        super().__init__(("127.0.0.1", 0), Conversation)
        self.unknown = unknown
        self.mails: list[tuple[str, str]] = []  # the address, and the mail as it was sent

    @property
    def port(self) -> int:
        port: int = self.server_address[1]
        return port


class Conversation(socketserver.StreamRequestHandler):
    server: MailServer

    def handle(self) -> None:
        self.say("220 mail.example ready")
        address = ""
        while (line := self.rfile.readline().decode().strip()) and line.upper() != "QUIT":
            command = line.split(" ")[0].upper()
            if command == "RCPT":
                address = line.split("<")[1].split(">")[0]
                self.say(f"550 {address} is unknown here" if address in self.server.unknown else "250 accepted")
            elif command == "DATA":
                self.say("354 end with a line that holds a period")
                self.server.mails.append((address, self.message()))
                self.say("250 taken")
            else:
                self.say("250 accepted")
        self.say("221 closing")

    def message(self) -> str:
        lines = list[str]()
        while (line := self.rfile.readline().decode().rstrip("\r\n")) != ".":
            lines.append(line)
        return "\n".join(lines)

    def say(self, reply: str) -> None:
        self.wfile.write(f"{reply}\r\n".encode())


@contextmanager
def mail_server(*unknown: str) -> Iterator[MailServer]:
    with MailServer(unknown) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()
