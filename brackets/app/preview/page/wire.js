"use strict";
// Where blocks come from: the server over a socket, or the page itself where it was saved.

Brackets.wire = function (heard, lost) {
  const saved = document.getElementById("saved");
  if (saved) {
    Brackets.packed(saved.textContent).then((buffer) => heard(Brackets.unpack(buffer)));
    return { live: false, send() {} };
  }
  const wire = { live: true, send() {} };
  let tries = 0;
  function open() {
    const socket = new WebSocket(new URL("wire", location.href.replace(/^http/, "ws")));
    socket.binaryType = "arraybuffer";
    socket.onopen = () => { tries = 0; };
    socket.onmessage = (event) => heard(Brackets.unpack(event.data));
    socket.onclose = () => {
      lost();
      tries += 1;
      if (tries < 6) setTimeout(open, 500 * tries);
    };
    wire.send = (message) => { if (socket.readyState === 1) socket.send(JSON.stringify(message)); };
  }
  open();
  return wire;
};
