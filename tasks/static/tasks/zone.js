// Fill in the time zone of this device, where nothing better is known.
const box = document.querySelector("#id_time_zone");
const here = Intl.DateTimeFormat().resolvedOptions().timeZone;

if (box && here && box.value === "UTC" && box.form.querySelector(".problem") === null) {
  box.value = here;
}
