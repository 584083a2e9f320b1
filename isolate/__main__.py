"""python -m isolate"""

from isolate.cli import main

if __name__ == "__main__":
    main()
