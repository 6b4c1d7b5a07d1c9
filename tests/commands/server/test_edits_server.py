"""Random edits of a plan, its kit and its house rules, replayed: a session that has seen them all says what a new one says.

A few hundred by default; SHOOTLINT_EDITS=10000 replays so many.
"""

from __future__ import annotations

import os
import random
import re

import pytest

from shootlint.commands.server.findings import said_of
from shootlint.commands.server.session import Session

EDITS = int(os.environ.get("SHOOTLINT_EDITS", "160"))
FILES = ("plans/house-style/evening.shoot", "plans/kit/belfry.shoot", "plans/house-style/house.rules")
PIECES = (
    "{", "}", '"', "#", ",", ";", "\n", "\r\n", "\r", "\u2028", "\x0c", "\ufeff", "😀", "é", "0", "-1", "1/0 s", "f/2.8", "iso 400",
    "accept light.uneven for \"Dagny\", because \"x\"\n", "rule ", "use shipped\n", "retire light.uneven because \"x\"\n", "person", "100000 m",
)  # fmt: skip


def edited(text, draw):
    """A text with one stretch of it replaced, as typing, deleting, pasting and moving do."""
    at = draw.randrange(len(text) + 1)
    match draw.randrange(7):
        case 0:
            return text[:at] + draw.choice(PIECES) + text[at:]
        case 1:
            return text[:at] + text[at + draw.randrange(1, 8) :]
        case 2:
            lines = text.split("\n")
            one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
            lines[one], lines[other] = lines[other], lines[one]
            return "\n".join(lines)
        case 3:
            lines = text.split("\n")
            del lines[draw.randrange(len(lines))]
            return "\n".join(lines)
        case 4:
            end = min(len(text), at + draw.randrange(60))
            return text[:end] + text[at:end] + text[end:]
    numbers = list(re.finditer(r"\d+", text))
    if not numbers:
        return text + "1"
    number = draw.choice(numbers)
    return text[: number.start()] + str(draw.randrange(400)) + text[number.end() :]


def told(session, uri):
    """All that is said of a document, but for the objects behind it."""
    return [
        (each.start, each.end, each.level, each.message, each.rule, each.page, [(one.path, one.place.start, one.message) for one in each.related])
        for each in said_of(session.checked(uri))
    ]  # fmt: skip


def of_several_setups(text):
    """A plan with its setup three times, one after the other, and faults in the second, so that most edits leave the
    others as they were, and what was found there is to be told again at another place."""
    head, setup = text[: text.index("\nsetup ")], text[text.index("\nsetup ") :]
    found = [re.sub(r"time( +)\S+ to \S+", rf"time\g<1>18:{at}0 to 18:{at}8", setup) for at in (1, 3, 5)]
    found = [re.sub(r'setup "[^"]*"', f'setup "Picture {number}"', each) for number, each in enumerate(found)]
    found[1] = re.sub(r"aperture( +)\S+", r"aperture\g<1>f/4", re.sub(r"shutter( +).*", r"shutter\g<1>1/500 s", found[1]))
    return head + "".join(found)


@pytest.mark.parametrize("seed", range(4))
def test_after_any_edits_the_same_is_said_as_by_a_new_session(desk, seed):
    sound = {name: (desk.folder / name).read_text("utf-8") for name in FILES}
    sound[FILES[0]] = of_several_setups(sound[FILES[0]])
    draw = random.Random(seed)
    for name in FILES:
        desk.open(name, sound[name])
    texts = dict(sound)
    different = 0
    for step in range(EDITS // 4):
        name = draw.choices(FILES, (6, 2, 2))[0]
        # After a while of damage it begins anew, as otherwise nothing would be sound any more.
        texts[name] = sound[name] if draw.random() < 0.15 else edited(texts[name], draw)
        desk.change(name, texts[name])
        if draw.random() < 0.05:
            # What is on the disk while a file is open does not matter; once it is closed it does.
            (desk.folder / name).write_bytes(edited(sound[name], draw).encode())
        fresh = Session()
        for each in FILES:
            fresh.open(desk.uri(each), desk.folder / each, 1, texts[each])
        for each in FILES:
            assert told(desk.session, desk.uri(each)) == told(fresh, desk.uri(each)), (seed, step, each)
        different += bool(told(desk.session, desk.uri(FILES[0])))
    assert different > EDITS // 16
    assert desk.told == []
