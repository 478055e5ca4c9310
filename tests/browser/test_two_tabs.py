"""Two tabs on one thing: the older one may not overwrite, and loses nothing."""

from __future__ import annotations

from playwright.sync_api import expect


def test_a_task_saved_in_another_tab_keeps_both_texts(scene, page, press):
    page.goto(scene.task("P1", "edit/"))
    other = page.context.new_page()
    other.goto(scene.task("P1", "edit/"))
    other.get_by_label("Notes").fill("Written in the other tab.")
    press(other.get_by_role("button", name="Keep the change"))
    expect(other).to_have_url(scene.task("P1"))

    page.get_by_label("Notes").fill("Written in this tab.")
    press(page.get_by_role("button", name="Keep the change"))
    expect(page.locator(".problem").first).to_be_visible()
    expect(page.get_by_label("Notes")).to_have_value("Written in this tab.")
    differs = page.get_by_role("region", name="What differs")
    expect(differs).to_contain_text("Written in this tab.")
    expect(differs).to_contain_text("Written in the other tab.")
    other.reload()
    expect(other.locator("main")).to_contain_text("Written in the other tab.")

    page.get_by_label("Notes").fill("Written in both tabs.")
    press(page.get_by_role("button", name="Keep the change"))
    expect(page).to_have_url(scene.task("P1"))
    expect(page.locator("main")).to_contain_text("Written in both tabs.")


def test_a_log_entry_saved_in_another_tab_keeps_both_texts(scene, page, press):
    address = scene.url(f"log/{scene['pks']['entry']}/edit/")
    page.goto(address)
    other = page.context.new_page()
    other.goto(address)
    other.locator("textarea[name=text]").fill("The other tab was here.")
    press(other.get_by_role("button", name="Save the entry"))
    expect(other).not_to_have_url(address)

    page.locator("textarea[name=text]").fill("This tab was here.")
    press(page.get_by_role("button", name="Save the entry"))
    expect(page.get_by_role("region", name="What the entry says now")).to_contain_text(
        "The other tab was here."
    )
    expect(page.locator("textarea[name=text]")).to_have_value("This tab was here.")
    press(page.get_by_role("button", name="Save the entry"))
    expect(page.locator("main")).to_contain_text("This tab was here.")
