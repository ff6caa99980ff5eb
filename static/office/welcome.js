// Takes the code of an invitation from the part of the address that is never sent.
"use strict";
(() => {
  const field = document.querySelector('#welcome input[name="code"]');
  const code = decodeURIComponent(location.hash.slice(1));
  if (!field || !code) return;
  field.value = code;
  history.replaceState(null, "", location.pathname); // it stays in no history
})();
