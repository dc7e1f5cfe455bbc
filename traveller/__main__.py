"""`python -m traveller` is the program, as `traveller` is."""

from traveller.commands import main

if __name__ == "__main__":
    main()
