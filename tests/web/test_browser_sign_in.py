"""Signing in as a person does it, in a real browser, under the real content policy."""

from playwright.sync_api import expect

from tests.looks import PHONE, faults


def test_sign_in_out_and_a_new_password(browser, cast):
    def walk(page):
        page.goto(f"{browser.url}/password/")
        expect(page.get_by_role("heading")).to_have_text("Sign in")
        page.get_by_label("Username").fill("ben")
        page.get_by_label("Password").fill("ben-knows-the-tide")
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading")).to_have_text("Change your password")
        page.get_by_label("Old password").fill("ben-knows-the-tide")
        page.get_by_label("New password", exact=True).fill("12345678901")
        page.get_by_label("New password confirmation").fill("12345678901")
        page.get_by_role("button", name="Set this password").click()
        expect(page.get_by_text("too common")).to_be_visible()
        page.get_by_role("button", name="Sign out").click()
        expect(page.get_by_role("heading")).to_have_text("You are signed out")

    browser.ui(walk)


def test_a_signed_in_browser(browser, cast):
    browser.sign_in(cast.ada)
    browser.open("/yard/accounts/")
    browser.ui(lambda page: expect(page.get_by_role("heading", level=1)).to_have_text("Who may sign in"))


def test_accessible(new_browser, cast):
    browser = new_browser(viewport=PHONE)
    browser.open("/sign-in/")
    assert browser.ui(faults) == []
    browser.sign_in(cast.ada)
    for path in ("/yard/accounts/", "/password/"):
        browser.open(path)
        assert browser.ui(faults) == []
