#!/usr/bin/env bash
# In a session bus of its own: the bus of accessibility, a window manager, which gives the focus, the window on the display that there is, and what reads it.
# session.sh HOME PYTHON "ARGUMENTS OF THE WINDOW" SCRIPT [ITS ARGUMENTS]
set -u
export HOME=$1 XDG_RUNTIME_DIR=$1 XDG_CONFIG_HOME=$1/config XDG_DATA_HOME=$1/data
/usr/libexec/at-spi-bus-launcher --launch-immediately >/dev/null 2>&1 & bus=$!
sleep 1
gdbus call --session --dest org.a11y.Bus --object-path /org/a11y/bus \
  --method org.freedesktop.DBus.Properties.Set org.a11y.Status IsEnabled '<true>' >/dev/null 2>&1
openbox >/dev/null 2>&1 & manager=$!
QT_LINUX_ACCESSIBILITY_ALWAYS_ON=1 QT_QPA_PLATFORM=xcb "$2" -m planner $3 >"$1/window.log" 2>&1 & window=$!
/usr/bin/python3 "${@:4}"; read=$?
kill "$window" "$manager" "$bus" 2>/dev/null
cat "$1/window.log" >&2
exit $read
