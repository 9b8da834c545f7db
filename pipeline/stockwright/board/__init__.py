"""The rough board: measured, seated, placed. Domain only: reads no documents, writes nothing."""
