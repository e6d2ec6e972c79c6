"""A device on the local network enters the printed code once; until then it sees only the page that asks for it."""

from __future__ import annotations

import hmac
import time
from collections import deque
from collections.abc import Callable
from threading import Lock

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

COOKIE = "slake_paired"
SALT = "slake.pairing"
PAIRED_FOR_S = 60 * 24 * 3600
PAIR_PATH = "/pair/"
Answer = Callable[[HttpRequest], HttpResponse]


class Tries:
    """How many wrong codes came lately: at most five from one device and forty from all, in ten minutes."""

    def __init__(self, one: int = 5, all_together: int = 40, within_s: float = 600.0) -> None:
        self.one, self.all_together, self.within_s = one, all_together, within_s
        self._wrong: deque[tuple[float, str]] = deque(maxlen=1000)
        self._lock = Lock()

    def take(self, who: str, now_s: float) -> bool:
        """Count one try of this device; False when there were too many already. A right code is given back."""
        with self._lock:
            while self._wrong and now_s - self._wrong[0][0] > self.within_s:
                self._wrong.popleft()
            mine = sum(1 for _, other in self._wrong if other == who)
            if mine >= self.one or len(self._wrong) >= self.all_together:
                return False
            self._wrong.append((now_s, who))
            return True

    def give_back(self, who: str) -> None:
        with self._lock:
            self._wrong = deque((t for t in self._wrong if t[1] != who), maxlen=1000)


tries = Tries()


class PairingMiddleware:
    """Does nothing on loopback, where there is no code."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not settings.PAIRING_CODE or request.path == PAIR_PATH or is_paired(request):
            return self.get_response(request)
        if request.method in {"GET", "HEAD"}:
            return HttpResponseRedirect(PAIR_PATH)
        return HttpResponse("This device is not paired: open /pair/ and enter the printed code.", status=403)


def is_paired(request: HttpRequest) -> bool:
    return request.get_signed_cookie(COOKIE, "", salt=SALT, max_age=PAIRED_FOR_S) == "yes"


def is_right(typed: str, code: str) -> bool:
    """Compare in a time that tells nothing; case, spaces and the dash do not matter."""
    plain = "".join(ch for ch in typed.upper() if ch.isalnum())
    return hmac.compare_digest(plain.encode(), code.encode())


def pair(request: HttpRequest) -> HttpResponse:
    """Ask for the code, and remember a device that knew it."""
    if not settings.PAIRING_CODE:
        return HttpResponseRedirect("/")
    if request.method != "POST":
        return render(request, "server/pair.html")
    who = request.META.get("REMOTE_ADDR", "")
    if not tries.take(who, time.monotonic()):
        told = "Too many wrong codes: wait ten minutes, then look at the code again."
        return render(request, "server/pair.html", {"problem": told}, status=429)
    if not is_right(request.POST.get("code", "")[:40], settings.PAIRING_CODE):
        told = "That is not the code on the laptop: look again, letters and digits only."
        return render(request, "server/pair.html", {"problem": told}, status=422)
    tries.give_back(who)
    response = HttpResponseRedirect("/")
    response.set_signed_cookie(COOKIE, "yes", salt=SALT, max_age=PAIRED_FOR_S, httponly=True, samesite="Lax")
    return response
