"use strict";
// Where blocks come from: the server over a socket, or the page itself where it was saved.

Brackets.wire = function (heard, lost, back) {
  const saved = document.getElementById("saved");
  if (saved) {
    Brackets.packed(saved.textContent).then((buffer) => heard(Brackets.unpack(buffer)));
    return { live: false, send() {} };
  }
  const wire = { live: true, send() {}, cut() {} };
  let tries = 0;
  function open() {
    const socket = new WebSocket(new URL("wire", location.href.replace(/^http/, "ws")));
    socket.binaryType = "arraybuffer";
    socket.onopen = () => { tries = 0; back(); };
    socket.onmessage = (event) => heard(Brackets.unpack(event.data));
    socket.onclose = () => {
      lost();
      tries += 1;
      setTimeout(open, Math.min(500 * tries, 3000));
    };
    wire.cut = () => socket.close();
    wire.send = (message) => { if (socket.readyState === 1) socket.send(JSON.stringify(message)); };
  }
  open();
  return wire;
};
