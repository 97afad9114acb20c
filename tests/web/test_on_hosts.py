"""The settings written beside a build, to the letter, in the servers they are for."""

from __future__ import annotations

import ssl

import pytest
from hosts import Host, fake_build
from phone_driving import offline_ready

from pocketpump.web.build import build
from pocketpump.web.hosting import beside
from pocketpump.web.hosting.address import parse_address
from pocketpump.web.hosting.change import FILES, LINES
from pocketpump.web.hosting.fetch import Limits
from pocketpump.web.hosting.told import as_text, look

SERVERS = ("nginx", "caddy", "apache2")


def checked(host: Host) -> tuple[str, bool]:
    context = ssl.create_default_context()
    if host.https:
        context.load_verify_locations(host.room / "cert.pem")
    return as_text(look(parse_address(host.url), Limits(), context))


@pytest.mark.parametrize("https", [False, True], ids=["http", "https"])
@pytest.mark.parametrize("base", ["/", "/pump/", "/a.b/pump/"])
@pytest.mark.parametrize("name", SERVERS)
def test_the_settings_to_the_letter_leave_nothing_to_complain_of(host, name, base, https):
    text, right = checked(host(name, base, https=https))
    assert right, text
    assert text.endswith("Everything is right.")


@pytest.mark.parametrize("server", FILES)
def test_every_line_that_the_check_may_name_is_in_the_settings(tmp_path, server):
    report = fake_build(tmp_path / "b", "/pump/")
    beside.write(tmp_path / "s", beside.place_of(tmp_path / "b", report, "/srv/p"), tmp_path / "b")
    lines = [line.strip() for line in (tmp_path / "s" / FILES[server]).read_text().splitlines()]
    for about, by_server in LINES.items():
        for start in by_server[server]:
            assert any(line.startswith(start) for line in lines), (about, start)


@pytest.mark.browser
def test_behind_nginx_under_a_path_the_app_starts_and_goes_offline(node, playwright, phone, host):
    one = host("nginx", "/pump/", make=lambda at: build(at, base_url="/pump/", snapshot=False))
    phone.said.clear()
    hand = phone.open(one.url)
    offline_ready(hand.page)
    text, right = checked(one)
    assert right, text
    one.stop()
    hand.page.close()
    phone.open(one.url).page.close()
    assert [said for said in phone.said if "Content Security Policy" in said] == []
