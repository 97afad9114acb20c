"""An update that fails leaves no half of itself, and the version before goes on without a net."""

import shutil

import pytest
from phone_driving import offline_ready, wait_for

pytestmark = pytest.mark.browser

TRY = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  const ended = new Promise((done) => {
    registration.addEventListener("updatefound", () => {
      const fresh = registration.installing;
      fresh.addEventListener("statechange", () => done(fresh.state));
    });
  });
  await registration.update().catch(() => {});
  return ended;
}"""
CACHES = "caches.keys()"
HALF = """async () => {
  const half = await caches.open("pocketpump-cut-off");
  await half.put("/r-0/python/site.zip", new Response("half"));
}"""


def test_a_failed_update_leaves_no_half_of_itself(phone, serve, built, rebuilt, tmp_path):
    damaged = tmp_path / "damaged"
    shutil.copytree(rebuilt, damaged)
    (file,) = damaged.glob("r-*/python/site.zip")
    file.write_bytes(file.read_bytes()[:-1])

    site = serve(built)
    hand = phone.open(site.url).see("Welcome")
    offline_ready(hand.page)
    before = hand.page.evaluate(CACHES)
    assert len(before) == 1
    site.stop()
    newer = serve(damaged, port=site.port)
    assert hand.page.evaluate(TRY) == "redundant"
    assert hand.page.evaluate(CACHES) == before
    hand.page.close()
    newer.stop()
    phone.open(newer.url).see("Welcome")


def test_what_an_update_left_that_was_cut_off_is_cleared_away(phone, serve, built):
    site = serve(built)
    hand = phone.open(site.url).see("Welcome")
    offline_ready(hand.page)
    (own,) = hand.page.evaluate(CACHES)
    hand.page.evaluate(HALF)
    hand.page.close()
    hand = phone.open(site.url).see("Welcome")
    wait_for(hand.page, "caches.keys().then(all => all.length === 1)", "the half to go", 40)
    assert hand.page.evaluate(CACHES) == [own]
    site.stop()
    hand.page.close()
    phone.open(site.url).see("Welcome")
