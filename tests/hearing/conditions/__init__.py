"""What happens to a sound on its way into a file: drones, a room, noise, a microphone, a codec, another sample rate."""
