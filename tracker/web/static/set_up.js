// The time zone of a new studio is most likely the one that the browser is in.
"use strict";
const zone = document.querySelector("select[name=timezone]");
if (zone && !zone.value) zone.value = new Intl.DateTimeFormat().resolvedOptions().timeZone;
if (zone && zone.selectedIndex < 0) zone.selectedIndex = 0;
