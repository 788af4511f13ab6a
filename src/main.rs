fn main() {
    #[cfg(feature = "kiosk")]
    {
        use slint::ComponentHandle;
        witnessmark::kiosk::App::new().unwrap().run().unwrap();
    }
}
