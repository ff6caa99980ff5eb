"""Events in, news out: how a phone's book and the office's agree. See PROTOCOL.md."""
