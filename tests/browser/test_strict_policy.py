"""Under the strict policy the app is drawn and used, and what the policy forbids is not done."""

import pytest
from driving import PHONE

INJECTED = """() => new Promise((done) => {
  globalThis.ran = [];
  const forbidden = [];
  addEventListener("securitypolicyviolation", (event) => forbidden.push(event.effectiveDirective));
  const script = document.createElement("script");
  script.textContent = "ran.push('script')";
  const style = document.createElement("style");
  style.textContent = "body { outline: 7px solid red; }";
  const button = document.createElement("div");
  button.setAttribute("onclick", "ran.push('attribute')");
  const base = document.createElement("base");
  base.href = "https://elsewhere.example/";
  document.head.prepend(base, style, script);
  button.click();
  const form = document.createElement("form");
  form.action = "/form";
  document.body.append(form);
  form.submit();
  setTimeout(() => {
    if (getComputedStyle(document.body).outlineWidth === "7px") ran.push("style");
    if (document.baseURI.includes("elsewhere")) ran.push("base");
    done([ran, [...new Set(forbidden)].sort()]);
  }, 500);
})"""


@pytest.fixture
def demo(start_server) -> str:
    return start_server("pocketpump", "demo").url


def test_the_app_needs_nothing_that_its_policy_forbids(new_hand, demo):
    hand = new_hand(PHONE)
    refused = []
    hand.page.on(
        "console",
        lambda said: refused.append(said.text) if "Content Security Policy" in said.text else None,
    )
    hand.page.goto(demo)
    hand.page.locator("flt-semantics-host flt-semantics").first.wait_for(state="attached")
    hand.see("refill-by").tap("How is it now?").see("Stiffness")
    hand.screenshot("strict-policy")
    # The client asks another server for an animation library that nothing here uses.
    assert [text for text in refused if "rive" not in text] == []


def test_what_is_put_into_the_page_does_not_run(new_hand, demo):
    hand = new_hand(PHONE).open(demo).see("refill-by")
    ran, forbidden = hand.page.evaluate(INJECTED)
    assert ran == []
    assert {"base-uri", "form-action", "script-src-elem", "style-src-elem"} <= set(forbidden)


def test_the_app_comes_again_when_it_is_loaded_again(new_hand, demo):
    hand = new_hand(PHONE).open(demo).see("refill-by")
    for again in (hand.page.reload, lambda: hand.page.goto(demo)):
        again()
        hand.page.locator("flt-semantics-host flt-semantics").first.wait_for(state="attached")
        hand.see("refill-by")
