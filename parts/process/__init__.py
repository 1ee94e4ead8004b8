"""The running program: how it is ended from outside, the machine that it finds, a process beside it."""
