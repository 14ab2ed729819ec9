//! Photographs: taking them in safely, turning and cropping.
