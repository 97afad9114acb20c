"""A good citizen of the phone: reminders, shared files, the home screen, the manifest."""

import json
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from driving import Hand
from phone_driving import ZONE, Phone, Site, offline_ready, put_demo, wait_for

from pocketpump.exchange.backup.backup import write_backup
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.web import page as page_files
from pocketpump.web.page_words import REMINDER_WORDS

pytestmark = pytest.mark.browser

PNG = (
    b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU"
    b"\x00\x00\x00\nIDATx\x9cc`\x00\x00\x00\x02\x00\x01H\xaf\xa4q\x00\x00\x00\x00IEND\xaeB`\x82"
)
NEAR = REMINDER_WORDS["remind_near"]

_WRITE_FACTS = """async (facts) => {
  const root = await navigator.storage.getDirectory();
  const folder = await root.getDirectoryHandle('pocketpump', { create: true });
  const out = await (await folder.getFileHandle('glance.json', { create: true })).createWritable();
  await out.write(JSON.stringify(facts));
  await out.close();
}"""
_SHOWN = """async () => {
  const registration = await navigator.serviceWorker.ready;
  return (await registration.getNotifications()).map(one => [one.title, one.body]);
}"""
_FORGET = """async () => {
  const registration = await navigator.serviceWorker.ready;
  for (const one of await registration.getNotifications()) one.close();
  await (await caches.open('beside-pocketpump')).delete('/reminded');
}"""


def installed(phone: Phone, site: Site):
    """A page beside the app, whose service worker is there; the app itself is closed."""
    put_demo(phone, site)
    hand = phone.open(site.url).see("refill-by")
    offline_ready(hand.page)
    phone.close()  # lets go of the files for certain
    page = phone.page()
    page.goto(f"{site.url}manifest.webmanifest")
    return page


class Waker:
    """Wakes the service worker as the browser would now and then."""

    def __init__(self, page, site: Site) -> None:
        self.page, self.origin = page, site.url.rstrip("/")
        self.session = page.context.new_cdp_session(page)
        found = []
        self.session.on(
            "ServiceWorker.workerRegistrationUpdated",
            lambda event: found.extend(event["registrations"]),
        )
        self.session.send("ServiceWorker.enable")
        for _ in range(100):
            if found:
                break
            page.wait_for_timeout(50)
        self.registration = found[0]["registrationId"]

    def wake(self, left: int | None, **facts: object) -> list[list[str]]:
        """What is shown after waking the worker, so many days before the refill-by date."""
        today = datetime.now(ZoneInfo(ZONE)).date()
        day = None if left is None else (today + timedelta(days=left)).isoformat()
        self.page.evaluate(_WRITE_FACTS, {"language": "en", "refill_by": day, **facts})
        self.session.send(
            "ServiceWorker.dispatchPeriodicSyncEvent",
            {"origin": self.origin, "registrationId": self.registration, "tag": "refill"},
        )
        self.page.wait_for_timeout(700)
        return self.page.evaluate(_SHOWN)


def test_the_browser_s_waking_reminds_on_the_chosen_days_once_a_day(phone, site):
    page = installed(phone, site)
    waker = Waker(page, site)
    chosen = {"remind": {"days": 7, "more": False}}
    # Nobody has allowed it.
    assert waker.wake(3, **chosen) == []
    phone.context.grant_permissions(["notifications"], origin=site.url)
    assert waker.wake(8, **chosen) == []
    assert waker.wake(7, **chosen) == [["PocketPump", NEAR]]
    # Sent away, it does not come again on this day.
    page.evaluate("""async () => {
      const registration = await navigator.serviceWorker.ready;
      for (const one of await registration.getNotifications()) one.close();
    }""")
    assert waker.wake(6, **chosen) == []
    for left, name in ((0, "remind_now"), (-2, "remind_gone")):
        page.evaluate(_FORGET)
        assert waker.wake(left, **chosen) == [["PocketPump", REMINDER_WORDS[name]]]
    # An open page asks by itself.
    page.evaluate(_FORGET)
    page.evaluate(
        "navigator.serviceWorker.ready.then(all => { all.active.postMessage({ kind: 'remind' }); })"
    )
    wait_for(page, f"({_SHOWN})().then(all => all.length)", "the reminder", 10)
    page.evaluate(_FORGET)
    assert waker.wake(5, remind={"days": None, "more": False}) == []
    assert waker.wake(None, **chosen) == []
    assert waker.wake(5, remind={"days": 7, "more": True}) == [
        ["PocketPump", "5 days to refill-by."]
    ]


# What a person answers to the browser's own question, which no test can press.
_ANSWER = """let allowed = 'default';
Object.defineProperty(Notification, 'permission', { get: () => allowed });
Notification.requestPermission = async () => {
  globalThis.withinPress = navigator.userActivation.isActive;
  return (allowed = 'granted');
};
globalThis.told = [];
const tell = ServiceWorker.prototype.postMessage;
ServiceWorker.prototype.postMessage = function (message) {
  told.push(message.kind);
  return tell.call(this, message);
};"""


_REMIND_FACTS = "JSON.parse(localStorage.getItem('pocketpump.glance')).remind"


def test_a_press_on_the_page_s_own_button_asks_and_the_open_app_reminds(phone, site):
    installed(phone, site).close()
    phone.context.grant_permissions(["notifications"], origin=site.url)
    page = phone.page()
    page.add_init_script(_ANSWER)
    hand = Hand(page).open(f"{site.url}#/remind").tap("Remind me on this phone")
    page.get_by_role("dialog", name="Remind me on this phone").wait_for()
    hand.screenshot("web-remind-asked")
    page.get_by_role("button", name="Not now").click()
    assert page.locator("#asked").count() == 0
    assert page.evaluate("globalThis.withinPress") is None
    hand.tap("Remind me on this phone")
    page.get_by_role("button", name="Go on").click()
    hand.see("Reminders are allowed")
    assert page.evaluate("globalThis.withinPress") is True
    # As when it is looked at again.
    page.evaluate("told.length = 0; document.dispatchEvent(new Event('visibilitychange'))")
    wait_for(page, "told.includes('remind')", "the word to the service worker", 10)
    hand.tap("21 days before").screenshot("web-remind")
    wait_for(page, f"{_REMIND_FACTS}.days === 21", "the choice to be told", 10)
    assert page.evaluate(_REMIND_FACTS) == {"days": 21, "more": False}


@pytest.fixture
def sharing(playwright, tmp_path):
    """A phone on which a page may send a form: a share is the system's, no page's policy holds."""
    made = Phone(playwright, tmp_path / "profile", bypass_csp=True)
    yield made
    made.close()


def share(page, site: Site, name: str, kind: str, data: bytes) -> None:
    """Share a file with the app as the phone's own menu does: a form sent to its address."""
    page.evaluate(
        """([action, name, kind, bytes]) => {
          const form = document.createElement('form');
          Object.assign(form, { method: 'post', enctype: 'multipart/form-data', action });
          const field = document.createElement('input');
          Object.assign(field, { type: 'file', name: 'file' });
          const held = new DataTransfer();
          held.items.add(new File([new Uint8Array(bytes)], name, { type: kind }));
          field.files = held.files;
          form.append(field);
          document.documentElement.append(form);
          form.submit();
        }""",
        [f"{site.url}share", name, kind, list(data)],
    )


_BESIDE = "caches.match('/shared', { cacheName: 'beside-pocketpump' }).then(Boolean)"


def backup_of_demo() -> bytes:
    now = datetime.now(UTC)
    return write_backup(moved_to_now(demo_folder(), now), now)


def test_a_backup_shared_with_an_empty_app_is_brought_in_after_confirming(sharing, site):
    hand = sharing.open(site.url).see("Welcome")
    offline_ready(hand.page)
    hand.page.close()
    page = sharing.page()
    page.goto(f"{site.url}manifest.webmanifest")
    share(page, site, "mine.json", "application/json", backup_of_demo())
    hand = Hand(page)
    hand.see("The file: mine.json").see("What it would add")
    assert not page.evaluate(_BESIDE)
    hand.screenshot("web-shared-backup")
    hand.tap("Bring it in").see("were brought in").see("refill-by")


def test_a_shared_photo_is_shown_and_kept_only_after_a_tap(sharing, site):
    page = installed(sharing, site)
    share(page, site, "Befund ü.png", "image/png", PNG)
    hand = Hand(page).see("The file: Befund ü.png").see("Nothing of it is kept yet.")
    hand.tap("Keep it with the clinic").see("The picture is kept in the record.")
    # Loaded again, it is not offered a second time.
    page.goto(site.url)
    hand.look_again().see("refill-by").miss("Nothing of it is kept yet.")


def test_a_shared_file_of_another_kind_is_told_in_one_sentence(sharing, site):
    page = installed(sharing, site)
    share(page, site, "song.json", "application/json", b'{"a": 1}')
    Hand(page).see("is no backup of PocketPump and no picture or PDF")


def test_a_backup_opened_with_the_app_is_chosen(phone, site):
    page = installed(phone, site)
    # The launch itself is the system's: what it hands over is put in its place.
    page.add_init_script(
        f"const handedOver = new Uint8Array({list(backup_of_demo())});"
        """const file = async () => new File([handedOver], 'opened.json');
        const files = [{ name: 'opened.json', getFile: file }];
        const launchQueue = { setConsumer: (take) => take({ files }) };
        Object.defineProperty(globalThis, 'launchQueue', { value: launchQueue });"""
    )
    page.goto(site.url)
    Hand(page).see("The file: opened.json").see("What it would add")


def test_an_offer_sent_away_does_not_come_back_on_this_device(phone, site):
    put_demo(phone, site)
    hand = phone.open(site.url).see("can stand on the home screen").tap("Close")
    hand.miss("can stand on the home screen")
    hand.page.close()
    hand = phone.open(site.url).see("refill-by")
    hand.page.wait_for_timeout(1500)
    hand.miss("can stand on the home screen")


def test_the_manifest_holds_what_a_phone_asks_for_and_the_pictures_are_not_fetched(
    phone, site, built
):
    made = json.loads((built / "manifest.webmanifest").read_text(encoding="utf-8"))
    assert made["id"] == "/"
    forms = [one["form_factor"] for one in made["screenshots"]]
    assert {"narrow", "wide"} == set(forms)
    assert made["share_target"]["enctype"] == "multipart/form-data"
    assert made["file_handlers"] == [{"action": "/", "accept": {"application/json": [".json"]}}]
    for shot in made["screenshots"]:
        picture = built / shot["src"].lstrip("/")
        size = "x".join(str(int.from_bytes(picture.read_bytes()[at : at + 4])) for at in (16, 20))
        assert size == shot["sizes"]
        assert picture.stat().st_size < 25_000
    hand = phone.open(site.url).see("Welcome")
    offline_ready(hand.page)
    assert [url for url in phone.requests if "/screens/" in url] == []
    kept = hand.page.evaluate(
        """async () => {
          const found = [];
          for (const name of await caches.keys()) {
            for (const one of await (await caches.open(name)).keys()) found.push(one.url);
          }
          return found;
        }"""
    )
    assert [url for url in kept if url.endswith("/device.js")]
    assert [url for url in kept if "/screens/" in url] == []


def test_what_is_shared_stays_out_of_the_first_visit():
    assert "device.js" not in page_files.HEAD_SCRIPTS + page_files.BODY_SCRIPTS
