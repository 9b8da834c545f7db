"""pack: everything known of a job -> a packet folder, whole or not at all, equal bytes for equal inputs."""
