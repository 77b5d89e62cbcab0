"""What programs that know nothing of Windrow meet on its listeners: TLS by openssl, WebSockets by hand, by Python's `websockets` and by
node's `ws`. Must know no figure of the measuring."""

import json

import served
import tls_offered
import websocket_frames
import websocket_node


def run():
    """Lines for people, and what was not as asked."""
    with served.server() as server:
        lines, n_handshakes, wrong = tls_offered.run(server)
        n_by_hand, wrong_by_hand = websocket_frames.run(server)
        hello = json.dumps({"type": "hello", "version": websocket_frames.PROTOCOL_VERSION, "code": server.code, "name": "Wren",
                            "instrument": "flute"})
        n_by_node, wrong_by_node = websocket_node.run(server, hello)
    tried = f"{n_handshakes} handshakes of TLS; {n_by_hand} cases of RFC 6455 by hand and by websockets, {n_by_node} by node's ws"
    return [tried, *lines], [*wrong, *wrong_by_hand, *wrong_by_node]
