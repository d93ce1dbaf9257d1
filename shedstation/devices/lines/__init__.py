"""Reach scales: ports, sockets, and the thread that reads them."""
