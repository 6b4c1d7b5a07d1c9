"""A kit is found beside the file that names it, inside the plan's repository, and never anywhere else."""

from __future__ import annotations

import os

import pytest

from shootlint.language.loading import MOST_KITS, Loader, root_of

CAMERA = (
    'camera "{}" {{ sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/160 s; shutter 1/8000 s to 30 s; iso 100 to 6400 }}\n'
)


@pytest.fixture
def write(tmp_path):
    (tmp_path / ".git").mkdir()

    def write(name, text="", **kwargs):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"shootplan 1\n{text}", "utf-8", **kwargs)
        return path

    return write


def read(path):
    return Loader().load(path, path.name)


def messages(document):
    return [each.message for each in document.complaints]


def test_a_kit_beside_and_a_kit_of_the_kit(write):
    write("plans/kit/deep/c.shoot", CAMERA.format("C"))
    write("plans/kit/b.shoot", 'kit "deep/c.shoot"\n' + CAMERA.format("B"))
    document = read(write("plans/a.shoot", 'kit "kit/b.shoot"\n' + CAMERA.format("A")))
    assert messages(document) == []
    assert [each.name for each in document.plan.camera] == ["A", "B", "C"]
    assert [path.name for path in document.files] == ["a.shoot", "b.shoot", "c.shoot"]


def test_a_kit_above_the_plan_but_inside_the_repository(write):
    write("kits/b.shoot", CAMERA.format("B"))
    document = read(write("plans/spring/a.shoot", 'kit "../../kits/b.shoot"\n'))
    assert messages(document) == []
    assert [each.name for each in document.plan.camera] == ["B"]


def test_a_kit_named_twice_by_two_files_is_taken_once(write):
    write("c.shoot", CAMERA.format("C"))
    write("b.shoot", 'kit "c.shoot"\n')
    document = read(write("a.shoot", 'kit "c.shoot"\nkit "b.shoot"\n'))
    assert messages(document) == []
    assert [each.name for each in document.plan.camera] == ["C"]


def test_kits_that_name_each_other_many_times_are_each_read_once(write):
    for at in range(40):
        write(f"k{at}.shoot", f'kit "k{at + 1}.shoot"\n' * 4)
    write("k40.shoot", CAMERA.format("last"))
    document = read(write("a.shoot", 'kit "k0.shoot"\n'))
    assert messages(document) == []
    assert len(document.kits) == 41


def test_too_many_kits(write):
    lines = []
    for at in range(MOST_KITS + 3):
        write(f"k{at}.shoot")
        lines.append(f'kit "k{at}.shoot"')
    document = read(write("a.shoot", "\n".join(lines)))
    assert len(document.kits) == MOST_KITS
    assert len(messages(document)) == 3
    assert messages(document)[0] == f"more than {MOST_KITS} kits are named; join some of them"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("b.shoot", "the kit cannot be used: there is no such file"),
        ("kit/belfri.shoot", 'the kit cannot be used: there is no such file; did you mean "kit/belfry.shoot"?'),
        ("kit", "the kit cannot be used: this is a folder, not a file"),
        ("a.shoot", "the kit includes itself"),
        ("./kit/../a.shoot", "the kit includes itself"),
        ("x" * 5000, "the kit cannot be used: the file cannot be read: File name too long"),
    ],
)
def test_a_kit_that_cannot_be_had(write, name, message):
    write("kit/belfry.shoot")
    document = read(write("a.shoot", f'kit "{name}"\n'))
    assert messages(document) == [message]
    assert (document.complaints[0].place.line, document.complaints[0].place.column) == (2, 5)
    assert document.kits_missing


@pytest.mark.parametrize("name", ["../b.shoot", "/etc/passwd", "kit/../../b.shoot", "//b.shoot", "~/b.shoot/../../../b.shoot"])
def test_a_kit_outside_the_repository_is_not_read(write, tmp_path, name):
    (tmp_path / "inside").mkdir()
    (tmp_path / "inside/.git").mkdir()
    write("b.shoot", CAMERA.format("outside"))
    document = read(write("inside/a.shoot", f'kit "{name}"\n'))
    assert len(messages(document)) == 1
    assert "lies outside the folder of this plan's files (inside)" in messages(document)[0]
    assert document.plan.camera == ()


def test_without_a_repository_the_root_is_the_folder_of_the_plan(tmp_path):
    folder = tmp_path / "plans"
    if root_of(folder / "a.shoot") != folder:
        pytest.skip("a repository stands above the temporary folder")
    folder.mkdir()
    (tmp_path / "b.shoot").write_text("shootplan 1\n", "utf-8")
    (folder / "a.shoot").write_text('shootplan 1\nkit "../b.shoot"\n', "utf-8")
    assert "lies outside" in messages(read(folder / "a.shoot"))[0]


@pytest.mark.parametrize("through", ["file", "folder"])
def test_a_link_does_not_lead_outside(write, tmp_path, through):
    (tmp_path / "inside").mkdir()
    (tmp_path / "inside/.git").mkdir()
    outside = write("outside/b.shoot", CAMERA.format("outside"))
    if through == "file":
        (tmp_path / "inside/b.shoot").symlink_to(outside)
    else:
        (tmp_path / "inside/link").symlink_to(outside.parent)
    name = "b.shoot" if through == "file" else "link/b.shoot"
    document = read(write("inside/a.shoot", f'kit "{name}"\n'))
    assert "lies outside" in messages(document)[0]
    assert document.plan.camera == ()


def test_a_link_that_leads_to_itself(write, tmp_path):
    (tmp_path / "b.shoot").symlink_to(tmp_path / "b.shoot")
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert len(messages(document)) == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes here")
def test_a_pipe_does_not_hang_the_reader(write, tmp_path):
    os.mkfifo(tmp_path / "b.shoot")
    assert messages(read(write("a.shoot", 'kit "b.shoot"\n'))) == ["the kit cannot be used: this is not an ordinary file"]


def test_a_device_is_outside_and_a_link_to_it_too(write, tmp_path):
    (tmp_path / "b.shoot").symlink_to("/dev/zero")
    assert "lies outside" in messages(read(write("a.shoot", 'kit "b.shoot"\n')))[0]


def test_kits_in_a_circle(write):
    write("b.shoot", 'kit "c.shoot"\n')
    write("c.shoot", 'kit "b.shoot"\n')
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert messages(document) == ["the kits include each other in a circle"]
    assert str(document.complaints[0].place) == "c.shoot:2:5"


def test_a_kit_that_includes_itself(write):
    write("b.shoot", 'kit "b.shoot"\n')
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert messages(document) == ["the kit includes itself"]
    assert str(document.complaints[0].place) == "b.shoot:2:5"


def test_a_plan_is_no_kit(write, evening, belfry, tmp_path):
    (tmp_path / "kit").mkdir()
    (tmp_path / "kit/belfry.shoot").write_text(belfry, "utf-8")
    (tmp_path / "b.shoot").write_text(evening, "utf-8")
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert messages(document) == ["this file is a plan, for it has a setup; move what it shares into a kit of its own"]


def test_what_does_not_belong_in_a_kit(write):
    write("b.shoot", 'title "kit"\ndate 2026-09-05\n' + CAMERA.format("B"))
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert messages(document) == [
        "date does not belong in a kit; a kit has the lines camera, lens, light, stand, gel, filter and step"
    ]
    assert str(document.complaints[0].place) == "b.shoot:3:1"
    assert [each.name for each in document.plan.camera] == ["B"]


def test_a_kit_with_a_mistake_keeps_what_is_sound(write):
    write("b.shoot", CAMERA.format("B") + CAMERA.format("C").replace("1/160 s", "160"))
    document = read(write("a.shoot", 'kit "b.shoot"\n'))
    assert messages(document) == ["160 carries no unit; write 1/160 s or 160 s"]
    assert [each.name for each in document.plan.camera] == ["B"]


def test_what_a_missing_kit_declares_is_not_called_unknown(evening, write):
    document = read(write("a.shoot", evening.removeprefix("shootplan 1\n")))
    assert messages(document) == ["the kit cannot be used: there is no such file"]
    assert document.plan.setup == ()
    assert document.unsound_setups == ["Everyone, full length"]


def test_a_thing_declared_in_the_plan_and_in_its_kit(write):
    write("b.shoot", CAMERA.format("A"))
    document = read(write("a.shoot", 'kit "b.shoot"\n' + CAMERA.format("A")))
    assert messages(document) == ['camera "A" is declared twice; the first is at a.shoot:3:8']
    assert str(document.complaints[0].place) == "b.shoot:2:8"


def test_a_kit_shared_by_two_plans_is_read_once(write):
    write("b.shoot", CAMERA.format("B"))
    loader = Loader()
    first, second = (loader.load(write(name, 'kit "b.shoot"\n'), name) for name in ("a.shoot", "c.shoot"))
    assert first.kits[0] is second.kits[0]


def test_a_kit_that_is_not_text(write, tmp_path):
    (tmp_path / "b.shoot").write_bytes(b"\x89PNG\0\0")
    assert "binary, not text" in messages(read(write("a.shoot", 'kit "b.shoot"\n')))[0]
