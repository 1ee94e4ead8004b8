"""The rectangular tank: its tables, how it is built, the thickness that holds, its checks."""
