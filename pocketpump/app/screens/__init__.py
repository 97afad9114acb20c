"""The screens, one file each: functions from the app to the controls that show it."""
