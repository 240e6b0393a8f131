"""Signing in as a person does it, in a real browser, under the real content policy."""

from base64 import b32decode

from django_otp.plugins.otp_totp.models import TOTPDevice
from playwright.sync_api import expect

from tests.looks import PHONE, faults
from tests.web.test_second_factor import shown_by


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


def test_a_second_factor_is_set_up_and_asked_for(new_browser, cast):
    """On a phone, under the real content policy: the square is drawn, and its code opens the door."""
    browser = new_browser(viewport=PHONE)
    browser.sign_in(cast.ben)
    browser.open("/account/")
    assert browser.ui(faults) == []
    browser.ui(lambda page: page.get_by_role("button", name="Set up your phone").click())
    assert browser.ui(lambda page: page.url).endswith("/account/second-factor/")
    assert browser.ui(faults) == []
    square = browser.ui(lambda page: page.get_by_role("img", name="Square code of your secret").bounding_box())
    assert square["width"] > 120
    device = TOTPDevice.objects.get(user=cast.ben)
    letters = browser.ui(lambda page: page.locator("code.letters").inner_text())
    assert b32decode(letters.replace(" ", "")) == device.bin_key

    def type_the_code(page):
        page.get_by_role("textbox", name="Code").fill(shown_by(device))
        page.get_by_role("button", name="These are they").click()
        page.get_by_role("heading", name="Keep these on paper").wait_for()
        return page.locator("ul.codes code").all_inner_texts()

    codes = browser.ui(type_the_code)
    assert browser.ui(faults) == []

    def sign_in_again(page):
        page.get_by_role("button", name="Sign out").click()
        page.goto(f"{browser.url}/sign-in/?next=/account/")
        page.get_by_label("Username").fill("ben")
        page.get_by_label("Password").fill("ben-knows-the-tide")
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("textbox", name="Code")).to_be_focused()

    browser.ui(sign_in_again)
    assert browser.ui(lambda page: page.url).endswith("/sign-in/code/")
    assert browser.ui(faults) == []

    def by_a_code_on_paper(page):
        page.get_by_role("textbox", name="Code").fill(codes[0])
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_text("7 are left")).to_be_visible()

    browser.ui(by_a_code_on_paper)
    assert browser.complaints == []
