"""What holds the wood together while it is cut: pieces that come loose, and tabs."""
